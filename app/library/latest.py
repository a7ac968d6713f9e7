"""What the first screen shows beside each athlete: the review to go on with, what was told last."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Select, Table, and_, func, select

from app.library.library import Library
from app.library.tables import ATHLETE, BUNDLE, PRESCRIPTION, RECORDING, REVIEW


@dataclass(frozen=True)
class Latest:
    """Where to go on with an athlete.

    Attributes
    ----------
    review_id, path, title, draft : of the review that came in last, "" where there is none
    told : what the newest bundle asked for, by its titles, and until when
    """

    review_id: str = ""
    path: str = ""
    title: str = ""
    draft: bool = False
    told: tuple[str, ...] = ()


def latest(library: Library) -> dict[str, Latest]:
    """Give that for all athletes this coach may see, by their ids; raises LibraryError."""
    newest = _newest(REVIEW, "added_at", REVIEW.c.path, REVIEW.c.title, REVIEW.c.draft)
    sent = _newest(BUNDLE, "sent_at").subquery()
    told = (
        select(PRESCRIPTION.c.athlete_id, PRESCRIPTION.c.title, PRESCRIPTION.c.until)
        .join(
            sent,
            and_(
                sent.c.key == PRESCRIPTION.c.review_id,
                sent.c.athlete_id == PRESCRIPTION.c.athlete_id,
                sent.c.turn == 1,
            ),
        )
        .order_by(PRESCRIPTION.c.athlete_id, PRESCRIPTION.c.place)
    )
    titles: dict[str, list[str]] = defaultdict(list)
    inner = newest.subquery()
    with library.reading() as connection:
        for athlete_id, title, until in connection.execute(told):
            titles[athlete_id].append(f"{title} (until {until})" if until else title)
        rows = connection.execute(select(inner).where(inner.c.turn == 1)).all()
    return {
        r.athlete_id: Latest(r.key, r.path, r.title, r.draft, tuple(titles[r.athlete_id]))
        for r in rows
    }


def names(library: Library) -> tuple[str, ...]:
    """The names of all athletes this coach may see, in their order; raises LibraryError."""
    with library.reading() as connection:
        found = set(connection.execute(select(ATHLETE.c.name)).scalars())
    return tuple(sorted(found, key=str.casefold))


def known_recordings(library: Library) -> frozenset[tuple[int, str]]:
    """(bytes, digest) of every recording of a review; raises LibraryError."""
    with library.reading() as connection:
        rows = connection.execute(select(RECORDING.c.size, RECORDING.c.sha256)).all()
    return frozenset((size, digest) for size, digest in rows)


def _newest(table: Table, when: str, *more: Any) -> Select[Any]:
    """The rows of each athlete with their turn, 1 for the newest."""
    key = table.c.id if table is REVIEW else table.c.review_id
    turn = func.row_number().over(
        partition_by=table.c.athlete_id, order_by=(table.c[when].desc(), table.c.id)
    )
    return select(table.c.athlete_id, key.label("key"), turn.label("turn"), *more)
