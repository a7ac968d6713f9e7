"""What differs between two states, as rows: what a saving writes, and what undo keeps."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any, Final

from app.review.file.schema import PART_TABLES, TABLE_OF
from app.review.parts.state import PARTS, ReviewState
from app.review.values.errors import ReviewError
from app.review.values.part import UNREADABLE, Group, Part, Row, Table

_OF_PARTS: Final = {table.name: table for table in PART_TABLES}


@dataclass(frozen=True)
class RowChange:
    """One row that came, went or changed; both have the same key."""

    table: Table
    before: Row | None
    after: Row | None


@dataclass(frozen=True)
class Delta:
    """What turns one state into another.

    Attributes
    ----------
    rows : in no order that matters
    assets : bulky things the new rows refer to, as far as they follow from the state
    """

    rows: tuple[RowChange, ...]
    assets: Mapping[str, bytes]

    def __bool__(self) -> bool:
        """Whether anything differs."""
        return bool(self.rows)


def delta(old: ReviewState | None, new: ReviewState) -> Delta:
    """What differs; everything where there is no old state.

    Parts and things that are the same objects are passed over, so that a letter typed into one of
    500 notes costs one row.
    """
    rows: list[RowChange] = []
    assets: dict[str, bytes] = {}
    for part in PARTS:
        if old is not None and all(getattr(old, n) is getattr(new, n) for n in part.names):
            continue
        before = {} if old is None else _groups(part, old)
        for key, group in _groups(part, new).items():
            was = before.pop(key, None)
            if was is not None and was.source is group.source and was.place == group.place:
                continue
            changed = tuple(_rows(was, group))
            if changed:
                rows += changed
                assets |= group.assets()
        for gone in before.values():
            rows += _rows(gone, None)
    return Delta(tuple(rows), assets)


def all_rows(state: ReviewState) -> tuple[dict[str, list[Row]], dict[str, bytes]]:
    """Every row of a state by the name of its table, and the assets that follow from it."""
    whole = delta(None, state)
    rows: dict[str, list[Row]] = {}
    for change in whole.rows:
        if change.after is not None:
            rows.setdefault(change.table.name, []).append(change.after)
    return rows, dict(whole.assets)


def asset_ids(state: ReviewState) -> frozenset[str]:
    """The bulky things a state refers to."""
    return asset_ids_of(
        (TABLE_OF[name], row) for name, many in all_rows(state)[0].items() for row in many
    )


def kept_apart(state: ReviewState) -> frozenset[str]:
    """Those of them that do not follow from the state itself: voices and logos."""
    return asset_ids(state) - all_rows(state)[1].keys()


def asset_ids_of(rows: Iterable[tuple[Table, Row]]) -> frozenset[str]:
    """The bulky things some rows refer to."""
    named = (row[list(t.columns).index(t.asset)] for t, row in rows if t.asset)
    return frozenset(str(id_) for id_ in named if id_)


def to_text(changes: Iterable[RowChange]) -> str:
    """Changes as JSON."""
    return json.dumps([[c.table.name, c.before, c.after] for c in changes], separators=(",", ":"))


def from_text(text: str) -> tuple[RowChange, ...]:
    """Changes from JSON; raises ReviewError where it is none of ours."""
    try:
        told: Any = json.loads(text)
        return tuple(
            RowChange(_OF_PARTS[name], _row(_OF_PARTS[name], before), _row(_OF_PARTS[name], after))
            for name, before, after in told
        )
    except UNREADABLE:
        raise ReviewError("A step to take back cannot be read.") from None


def _groups(part: Part[Any], state: ReviewState) -> dict[str, Group]:
    return {group.key: group for group in part.groups(state)}


def _rows(was: Group | None, now: Group | None) -> Iterable[RowChange]:
    before = _keyed(was)
    for place, (table, row) in _keyed(now).items():
        _table, old = before.pop(place, (table, None))
        if old != row:
            yield RowChange(table, old, row)
    for table, row in before.values():
        yield RowChange(table, row, None)


def _keyed(group: Group | None) -> dict[tuple[str, Row], tuple[Table, Row]]:
    made = group.make() if group is not None else []
    return {(table.name, table.key_of(row)): (table, row) for table, row in made}


def _row(table: Table, told: Any) -> Row | None:
    if told is None:
        return None
    if not isinstance(told, list):
        raise ValueError(table.name)
    # An earlier step knows nothing of the columns that came since: the last of those added.
    since = len(table.columns) - len(told)
    if 0 < since <= len(table.added):
        lacking, said = [*table.added][-since:], iter(told)
        told = [table.added[c] if c in lacking else next(said) for c in table.columns]
    plain = len(told) == len(table.columns)
    if not plain or not all(v is None or isinstance(v, str | int | float) for v in told):
        raise ValueError(table.name)
    for value in told:
        if isinstance(value, str):
            value.encode()  # JSON can hold half of a character, which no statement takes
    return tuple(told)
