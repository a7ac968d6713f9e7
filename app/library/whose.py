"""Which reviews answers belong to, by the mark they bear and the notes they tick."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Final

from sqlalchemy import and_, func, or_, select

from app.library.files import locate
from app.library.library import Library
from app.library.tables import ATHLETE, BUNDLE, PRESCRIPTION, REVIEW
from app.review.answers import harmless
from app.review.parts.answers import AthleteAnswers

MOST_NOTES: Final = 500  # asked for at once
_LONGEST: Final = 60


@dataclass(frozen=True)
class KnownReview:
    """A review that answers may belong to.

    Attributes
    ----------
    day : it was rowed, sent or first saved, ISO 8601
    told : it holds one of the ticked notes: these are its answers and no other's
    """

    review_id: str
    athlete: str
    title: str
    path: str
    day: str
    told: bool = False

    @property
    def named(self) -> str:
        """The review by athlete, title and day."""
        try:
            day = datetime.fromisoformat(self.day)
            of = f" of {day.day} {day:%B %Y}"
        except ValueError:
            of = ""
        title = f" “{self.short_title}”" if self.title.strip() else ""
        return f"{_short(self.athlete)}'s review{title}{of}"

    @property
    def short_title(self) -> str:
        """Its title in a sentence."""
        return _short(self.title)


def whose(answers: AthleteAnswers, library: Library) -> tuple[tuple[KnownReview, Path | None], ...]:
    """Find the reviews that answers belong to, and where each lies by now; raises LibraryError.

    Returns
    -------
    As `reviews_answered`; None where that review is not where it was.
    """
    found = []
    notes = [tick.note_id for tick in answers.ticks]
    for one in reviews_answered(library, answers.bundle, notes):
        last = Path(one.path) if one.path else None
        near = [] if last is None or not last.parent.is_dir() else [last.parent]
        found.append((one, locate(one.review_id, last, near)))
    return tuple(found)


def is_ours(
    found: Collection[tuple[KnownReview, Path | None]], review_id: str, belongs: bool
) -> bool:
    """Whether answers are to be taken into a review, given what the library says of them.

    Parameters
    ----------
    belongs : whether the review itself takes them for its own; of reviews with the same
        recordings each does
    """
    told = any(one.told for one, _path in found)
    return any(one.review_id == review_id for one, _path in found) or (belongs and not told)


def _short(text: str) -> str:
    line = " ".join(harmless(text).split())
    return line if len(line) <= _LONGEST else line[: _LONGEST - 2] + " …"


def reviews_answered(
    library: Library, mark: str, note_ids: Collection[str] = ()
) -> tuple[KnownReview, ...]:
    """Find the reviews that answers belong to, those sent last first; raises LibraryError.

    Parameters
    ----------
    mark : of a bundle, as `bundle_mark`; the recordings of several reviews may be the same
    note_ids : of the notes that are ticked; where a review holds one, only such are given
    """
    sent = (
        select(BUNDLE.c.review_id, BUNDLE.c.athlete_id, func.max(BUNDLE.c.sent_at).label("at"))
        .group_by(BUNDLE.c.review_id, BUNDLE.c.athlete_id)
        .subquery()
    )
    marked = select(BUNDLE.c.review_id).where(BUNDLE.c.mark == mark)
    ticked = select(PRESCRIPTION.c.review_id).where(
        PRESCRIPTION.c.id.in_(sorted(note_ids)[:MOST_NOTES])
    )
    query = (
        select(REVIEW, ATHLETE.c.name, sent.c.at)
        .join(ATHLETE, ATHLETE.c.id == REVIEW.c.athlete_id)
        .outerjoin(
            sent, and_(sent.c.review_id == REVIEW.c.id, sent.c.athlete_id == REVIEW.c.athlete_id)
        )
        .where(
            or_(REVIEW.c.submission_id == mark, REVIEW.c.id.in_(marked), REVIEW.c.id.in_(ticked))
        )
    )
    with library.reading() as connection:
        holding = set(connection.execute(ticked).scalars())
        rows = connection.execute(query).all()
    rows = sorted(rows, key=lambda row: (row.at or "", row.added_at), reverse=True)
    found = {
        row.id: KnownReview(
            row.id, row.name, row.title, row.path, row.rowed_on or row.at or row.added_at,
            row.id in holding,
        )
        for row in rows
    }  # fmt: skip
    told = tuple(one for one in found.values() if one.told)
    return told or tuple(found.values())
