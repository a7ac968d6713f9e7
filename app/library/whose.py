"""Which reviews answers belong to, by the mark they bear and the notes they tick."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from typing import Final

from sqlalchemy import and_, func, or_, select

from app.library.library import Library
from app.library.tables import ATHLETE, BUNDLE, PRESCRIPTION, REVIEW

MOST_NOTES: Final = 500  # asked for at once


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
