"""An athlete's past: every review with what it said, and this time against last time."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, fields
from typing import Any, TypeVar

from sqlalchemy import Connection, Table, select

from analysis.following_up.conditions import conditions_of
from analysis.following_up.follow import FollowUp, follow_up
from analysis.following_up.prescribed import Prescribed, aims_of
from analysis.following_up.summaries import PieceSummary
from app.library.errors import LibraryError
from app.library.library import Library
from app.library.people import Athlete, read_athlete
from app.library.rows import pieces_of
from app.library.summaries import AnswerSummary, PrescriptionSummary, SentBundle
from app.library.tables import ANSWER, ATHLETE_NAME, BUNDLE, FINDING, PRESCRIPTION, REVIEW

_T = TypeVar("_T", PrescriptionSummary, SentBundle, AnswerSummary)


@dataclass(frozen=True)
class PastReview:
    """A review of an athlete.

    Attributes
    ----------
    when : the day it was rowed, or the moment the review came in where that is not known
    kept : by code of a finding, whether the coach kept it; None where nothing was decided
    """

    review_id: str
    title: str
    draft: bool
    path: str
    when: str
    added_at: str
    piece: PieceSummary
    kept: Mapping[str, bool | None]
    prescriptions: tuple[PrescriptionSummary, ...]
    bundles: tuple[SentBundle, ...]
    answers: tuple[AnswerSummary, ...]


@dataclass(frozen=True)
class Past:
    """All reviews of an athlete, oldest first.

    Attributes
    ----------
    names : by which reviews find the athlete, as keys
    """

    athlete: Athlete
    reviews: tuple[PastReview, ...]
    names: tuple[str, ...] = ()


@dataclass(frozen=True)
class Progress:
    """A follow-up of two reviews.

    Attributes
    ----------
    prescribed : what the athlete was told last time
    """

    before: PastReview
    after: PastReview
    prescribed: tuple[PrescriptionSummary, ...]
    found: FollowUp


def past_of(library: Library, athlete_id: str) -> Past:
    """Read an athlete's past; raises LibraryError."""
    with library.reading() as connection:
        athlete = read_athlete(connection, athlete_id)
        pieces = pieces_of(connection, athlete_id)
        told = _by_review(connection, PRESCRIPTION, PrescriptionSummary, athlete_id, "place")
        sent = _by_review(connection, BUNDLE, SentBundle, athlete_id, "sent_at")
        back = _by_review(connection, ANSWER, AnswerSummary, athlete_id, "received_at")
        kept: dict[str, dict[str, bool | None]] = defaultdict(dict)
        query = select(FINDING.c.review_id, FINDING.c.code, FINDING.c.kept)
        for review_id, code, is_kept in connection.execute(
            query.where(FINDING.c.athlete_id == athlete_id)
        ):
            kept[review_id][code] = is_kept
        names = select(ATHLETE_NAME.c.name_key).where(ATHLETE_NAME.c.athlete_id == athlete_id)
        known_as = tuple(connection.execute(names).scalars())
        rows = {
            row.id: row
            for row in connection.execute(select(REVIEW).where(REVIEW.c.athlete_id == athlete_id))
        }
    reviews = tuple(
        PastReview(
            id_, rows[id_].title, rows[id_].draft, rows[id_].path,
            piece.rowed_on or rows[id_].added_at, rows[id_].added_at, piece, kept[id_],
            tuple(told[id_]), tuple(sent[id_]), tuple(back[id_]),
        )
        for id_, piece in pieces.items()
    )  # fmt: skip
    return Past(athlete, reviews, known_as)


def progress_of(past: Past, after: str = "", before: str = "") -> Progress:
    """Hold a review against an earlier one.

    Parameters
    ----------
    after : identity of the later review, "" for the newest that was measured
    before : of the earlier one, "" for the one `proposed` gives

    Raises
    ------
    LibraryError
        There are not two to compare.
    """
    this = _of_id(past, after) if after else _newest(past)
    last = _of_id(past, before) if before else proposed(past, this)
    if this is None or last is None:
        raise LibraryError(
            f"There are no two measured reviews of {past.athlete.name} yet; the next one is held "
            "against the one there is."
        )
    aims = [aim for told in last.prescriptions if told.finding
            for aim in aims_of(told.finding, told.title)]  # fmt: skip
    return Progress(last, this, last.prescriptions, _follow(past, last, this, aims))


def proposed(past: Past, this: PastReview | None) -> PastReview | None:
    """The review to hold one against: the last before it that was rowed alike, else the last.

    One that was sent comes before one the athlete never saw.
    """
    if this is None:
        return None
    earlier = [r for r in past.reviews[: past.reviews.index(this)] if r.piece.source]
    told = [r for r in earlier if r.bundles] or earlier
    alike = [r for r in told if conditions_of(r.piece, this.piece).pair is not None]
    best = alike or told
    return best[-1] if best else None


def _follow(past: Past, last: PastReview, this: PastReview, aims: Sequence[Prescribed]) -> FollowUp:
    """Follow up, with the pieces before anything of this was prescribed as the usual ones."""
    codes = {aim.finding for aim in aims}
    history = []
    for review in past.reviews[: past.reviews.index(last)]:
        history.append(review.piece)
        if codes & {told.finding for told in review.prescriptions}:
            break  # what was rowed after it may show that it was heard
    return follow_up(last.piece, this.piece, aims, history)


def _newest(past: Past) -> PastReview | None:
    return next((r for r in reversed(past.reviews) if r.piece.source), None)


def _of_id(past: Past, review_id: str) -> PastReview:
    for review in past.reviews:
        if review.review_id == review_id:
            return review
    raise LibraryError(f"{past.athlete.name} has no review of that identity in the library.")


def _by_review(
    connection: Connection, table: Table, kind: type[_T], athlete_id: str, order: str
) -> dict[str, list[_T]]:
    found: dict[str, list[_T]] = defaultdict(list)
    names = [f.name for f in fields(kind)]
    query = select(table).where(table.c.athlete_id == athlete_id).order_by(table.c[order])
    for row in connection.execute(query):
        told: dict[str, Any] = {name: getattr(row, name) for name in names}
        found[row.review_id].append(kind(**told))
    return found
