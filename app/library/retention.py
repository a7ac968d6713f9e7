"""What is older than a coach wants to keep: listed, and deleted only on the coach's word."""

from __future__ import annotations

import calendar
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from sqlalchemy import Column, ColumnElement, Subquery, func, select

from app.library.library import Library
from app.library.tables import ANSWER, ATHLETE, BUNDLE, REVIEW, SUBMISSION


@dataclass(frozen=True)
class OldReview:
    """A review nothing happened to for too long.

    Attributes
    ----------
    last : ISO date: when it was rowed, or came in, or a bundle or an answer last went or came
    """

    review_id: str
    title: str
    path: str
    last: str


@dataclass(frozen=True)
class Old:
    """What of an athlete is older than the limit.

    Attributes
    ----------
    reviews : oldest first
    whole : nothing of the athlete is newer: they go altogether
    """

    athlete_id: str
    name: str
    reviews: tuple[OldReview, ...]
    whole: bool


def limit_of(months: int, today: date) -> date:
    """The day so many months ago; the last of a month where that has no such day."""
    at = today.year * 12 + today.month - 1 - months
    year, month = divmod(at, 12)
    last = calendar.monthrange(max(year, 1), month + 1)[1]
    return date(max(year, 1), month + 1, min(today.day, last))


def older_than(library: Library, before: date) -> tuple[Old, ...]:
    """List what of this coach's own athletes is older; nothing is changed.

    An athlete nobody reviewed counts from the day they were added.
    """
    told_last = _newest(BUNDLE.c.sent_at, BUNDLE.c.review_id, BUNDLE.c.athlete_id)
    came_last = _newest(ANSWER.c.received_at, ANSWER.c.review_id, ANSWER.c.athlete_id)
    query = (
        select(
            ATHLETE.c.id, ATHLETE.c.name, ATHLETE.c.added_at.label("met_at"),
            REVIEW.c.id.label("review_id"), REVIEW.c.title, REVIEW.c.path, REVIEW.c.added_at,
            SUBMISSION.c.rowed_on, told_last.c.last.label("told"), came_last.c.last.label("came"),
        )
        .select_from(ATHLETE)
        .outerjoin(REVIEW, REVIEW.c.athlete_id == ATHLETE.c.id)
        .outerjoin(
            SUBMISSION,
            (SUBMISSION.c.id == REVIEW.c.submission_id)
            & (SUBMISSION.c.athlete_id == REVIEW.c.athlete_id),
        )
        .outerjoin(told_last, _same(told_last))
        .outerjoin(came_last, _same(came_last))
        .where(ATHLETE.c.owner == library.coach)
    )  # fmt: skip
    limit = before.isoformat()
    found: dict[str, list[OldReview]] = {}
    names: dict[str, str] = {}
    newer: set[str] = set()
    with library.reading() as connection:
        for row in connection.execute(query):
            names[row.id] = row.name
            reviews = found.setdefault(row.id, [])
            if row.review_id is None:
                last = row.met_at[:10]
            else:
                last = _last((row.rowed_on or row.added_at, row.told, row.came))
            if last >= limit:
                newer.add(row.id)
            elif row.review_id is not None:
                reviews.append(OldReview(row.review_id, row.title, row.path, last))
    old = [
        Old(id_, names[id_], tuple(sorted(kept, key=lambda r: r.last)), id_ not in newer)
        for id_, kept in found.items()
        if kept or id_ not in newer
    ]
    return tuple(
        sorted(old, key=lambda one: (one.reviews[0].last if one.reviews else "", one.name))
    )


def _last(dates: Iterable[str | None]) -> str:
    return max(found[:10] for found in dates if found)


def _newest(when: Column[str], review: Column[str], athlete: Column[str]) -> Subquery:
    query = select(review, athlete, func.max(when).label("last")).group_by(review, athlete)
    return query.subquery()


def _same(of: Subquery) -> ColumnElement[bool]:
    return (of.c.review_id == REVIEW.c.id) & (of.c.athlete_id == REVIEW.c.athlete_id)
