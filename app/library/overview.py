"""Who is in the library, what came and what waits: the first screen, and the search."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from typing import Any, Final, Literal

from sqlalchemy import (
    ColumnElement,
    Connection,
    Row,
    Select,
    Subquery,
    Table,
    case,
    exists,
    func,
    or_,
    select,
)

from app.library.library import Library
from app.library.people import Athlete, athlete_of, name_key
from app.library.tables import (
    ANSWER,
    ATHLETE,
    ATHLETE_NAME,
    ATHLETE_TAG,
    BUNDLE,
    FINDING,
    REVIEW,
    SUBMISSION,
)

Order = Literal["newest", "waiting", "name"]
MOST: Final = 10_000  # rows of one answer


@dataclass(frozen=True)
class Standing:
    """An athlete and where the two of you stand.

    Attributes
    ----------
    reviews, drafts : how many there are; drafts no coach has seen are among the reviews
    last_sent_in, last_told, last_answer : newest submission, bundle and answer, "" for none
    waits_since : when the oldest came in that no bundle answered yet, "" where nothing waits
    """

    athlete: Athlete
    reviews: int
    drafts: int
    last_sent_in: str
    last_told: str
    last_answer: str
    waits_since: str

    @property
    def is_silent(self) -> bool:
        """Whether the athlete was told something and has not sent again since."""
        return bool(self.last_told) and self.last_told > max(self.last_sent_in, self.last_answer)


@dataclass(frozen=True)
class Wanted:
    """What is looked for; everything given has to fit.

    Attributes
    ----------
    words : each in the name, a tag, the title of a review or of a finding
    tag, finding : exactly; a finding by its code
    since, until : ISO dates between which something was rowed or came in
    quiet_since : ISO date since which nothing came in or was told, for what is kept too long
    """

    words: str = ""
    tag: str = ""
    finding: str = ""
    since: str = ""
    until: str = ""
    quiet_since: str = ""


def athletes(
    library: Library,
    order: Order = "newest",
    wanted: Wanted | None = None,
    most: int = MOST,
    skip: int = 0,
) -> tuple[Standing, ...]:
    """List the athletes this coach may see.

    Parameters
    ----------
    order : "newest": what came in last first; "waiting": what waits longest first, the others by
        name; "name"
    wanted : only those that fit
    most, skip : a part of a long list
    """
    query, columns = _standing()
    wanted = wanted or Wanted()
    for condition in _conditions(wanted):
        query = query.where(condition)
    if wanted.quiet_since:
        query = query.where(
            *(columns[name] < wanted.quiet_since for name in ("newest", "last_told")),
            ATHLETE.c.added_at < wanted.quiet_since,
        )
    by_name = func.lower(ATHLETE.c.name)
    if order == "newest":
        query = query.order_by(columns["newest"].desc(), by_name, ATHLETE.c.id)
    elif order == "waiting":
        waits = columns["waits_since"]
        query = query.order_by((waits == "").asc(), waits.asc(), by_name, ATHLETE.c.id)
    else:
        query = query.order_by(by_name, ATHLETE.c.id)
    with library.reading() as connection:
        rows = connection.execute(query.limit(most).offset(skip)).all()
        tags = _tags(connection, [row.id for row in rows])
    return tuple(_standing_of(row, tags[row.id]) for row in rows)


def _standing_of(row: Row[Any], tags: Sequence[str]) -> Standing:
    return Standing(
        athlete_of(row, tuple(tags)), row.reviews, row.drafts, row.last_sent_in, row.last_told,
        row.last_answer, row.waits_since,
    )  # fmt: skip


@cache  # the words are the same each time, and making them costs more than asking
def _standing() -> tuple[Select[Any], dict[str, ColumnElement[str]]]:
    come = _newest(SUBMISSION, SUBMISSION.c.received_at)
    told = _newest(BUNDLE, BUNDLE.c.sent_at)
    answered = _newest(ANSWER, ANSWER.c.received_at)
    reviews = (
        select(
            REVIEW.c.athlete_id,
            func.count().label("reviews"),
            func.sum(case((REVIEW.c.draft, 1), else_=0)).label("drafts"),
        )
        .group_by(REVIEW.c.athlete_id)
        .subquery()
    )
    last_in, last_told = _or_none(come.c.newest), _or_none(told.c.newest)
    last_answer = _or_none(answered.c.newest)
    newest = case((last_in > last_answer, last_in), else_=last_answer)
    come_since = _oldest_since(SUBMISSION, SUBMISSION.c.received_at, told)
    answered_since = _oldest_since(ANSWER, ANSWER.c.received_at, told)
    waits_in, waits_back = _or_none(come_since.c.oldest), _or_none(answered_since.c.oldest)
    waits = case(
        (waits_in == "", waits_back),
        (waits_back == "", waits_in),
        (waits_in < waits_back, waits_in),
        else_=waits_back,
    )
    query = select(
        ATHLETE,
        func.coalesce(reviews.c.reviews, 0).label("reviews"),
        func.coalesce(reviews.c.drafts, 0).label("drafts"),
        last_in.label("last_sent_in"),
        last_told.label("last_told"),
        last_answer.label("last_answer"),
        waits.label("waits_since"),
    )
    source: Any = ATHLETE
    for part in (come, told, answered, come_since, answered_since, reviews):
        source = source.outerjoin(part, part.c.athlete_id == ATHLETE.c.id)
    return query.select_from(source), {
        "newest": newest, "waits_since": waits, "last_told": last_told,
    }  # fmt: skip


def _newest(table: Table, column: ColumnElement[str]) -> Subquery:
    query = select(table.c.athlete_id, func.max(column).label("newest"))
    return query.group_by(table.c.athlete_id).subquery()


def _oldest_since(table: Table, column: ColumnElement[str], told: Subquery) -> Subquery:
    """The first that came in after the newest bundle."""
    query = (
        select(table.c.athlete_id, func.min(column).label("oldest"))
        .select_from(table.outerjoin(told, told.c.athlete_id == table.c.athlete_id))
        .where(column > func.coalesce(told.c.newest, ""))
    )
    return query.group_by(table.c.athlete_id).subquery()


def _or_none(column: ColumnElement[Any]) -> ColumnElement[str]:
    return func.coalesce(column, "")


def _conditions(wanted: Wanted) -> list[ColumnElement[bool]]:
    conditions = [_has_word(word) for word in name_key(wanted.words).split()]
    if wanted.tag:
        conditions.append(
            exists().where(
                ATHLETE_TAG.c.athlete_id == ATHLETE.c.id,
                func.lower(ATHLETE_TAG.c.tag) == wanted.tag.lower(),
            )
        )
    if wanted.finding:
        conditions.append(
            exists().where(
                FINDING.c.athlete_id == ATHLETE.c.id,
                FINDING.c.code == wanted.finding,
                FINDING.c.raised,
            )
        )
    if wanted.since or wanted.until:
        conditions.append(_came(wanted.since, wanted.until))
    return conditions


def _has_word(word: str) -> ColumnElement[bool]:
    """Whether a word is in a name, a tag, or a title."""

    def among(table: Table, column: Any, *more: ColumnElement[bool]) -> ColumnElement[bool]:
        # As a list of athletes: asked once, not once for each of them.
        holds = func.lower(column).contains(word, autoescape=True)
        return ATHLETE.c.id.in_(select(table.c.athlete_id).where(holds, *more))

    return or_(
        among(ATHLETE_NAME, ATHLETE_NAME.c.name_key),
        among(ATHLETE_TAG, ATHLETE_TAG.c.tag),
        among(REVIEW, REVIEW.c.title),
        among(FINDING, FINDING.c.title, FINDING.c.raised),
    )


def _came(since: str, until: str) -> ColumnElement[bool]:
    last = f"{until}T99" if until else "9"  # the whole of that day
    return exists().where(
        SUBMISSION.c.athlete_id == ATHLETE.c.id,
        or_(
            SUBMISSION.c.rowed_on.between(since or "0", last),
            SUBMISSION.c.received_at.between(since or "0", last),
        ),
    )


def _tags(connection: Connection, ids: Sequence[str]) -> dict[str, list[str]]:
    found: dict[str, list[str]] = defaultdict(list)
    query = select(ATHLETE_TAG).order_by(ATHLETE_TAG.c.tag)
    if len(ids) < MOST // 20:
        query = query.where(ATHLETE_TAG.c.athlete_id.in_(ids))
    for row in connection.execute(query):
        found[row.athlete_id].append(row.tag)
    return found
