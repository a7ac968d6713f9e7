"""What can be taken back: the changes since opening, and those of the session before."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from typing import Any, Final

from app.review.file.delta import all_rows, delta, to_text
from app.review.file.schema import PART_TABLES
from app.review.file.store import UndoStep, wanted_assets
from app.review.parts.change import Change
from app.review.parts.check import check_state
from app.review.parts.state import ReviewState, read_state
from app.review.values.errors import ReviewError
from app.review.values.part import Row, Table

# What is kept in the file when a review is closed; see docs/review-file.md.
MOST_STEPS: Final = 50
MOST_BYTES: Final = 500_000
MOST_ASSET_BYTES: Final = 8_000_000

Assets = Callable[[str], bytes]


@dataclass(frozen=True)
class Step:
    """A change with the states around it, or one from before the review was opened.

    Attributes
    ----------
    change, before, after : None for a change of an earlier session
    stored : None for a change made since opening
    """

    label: str
    change: Change | None = None
    before: ReviewState | None = None
    after: ReviewState | None = None
    stored: UndoStep | None = None


def taken_back(state: ReviewState, step: Step, asset: Assets) -> ReviewState:
    """The state before a step; raises ReviewError where that cannot be told any more."""
    if step.before is not None:
        return step.before
    if step.stored is None:
        raise ReviewError("That change cannot be taken back any more.")
    rows: dict[str, dict[Row, tuple[Table, Row]]] = {table.name: {} for table in PART_TABLES}
    now, made = all_rows(state)
    tables = {table.name: table for table in PART_TABLES}
    for name, many in now.items():
        rows[name] = {tables[name].key_of(row): (tables[name], row) for row in many}
    for change in step.stored.changes:
        if change.table.name not in rows:
            raise ReviewError("That change cannot be taken back any more.")
        if change.after is not None:
            rows[change.table.name].pop(change.table.key_of(change.after), None)
        if change.before is not None:
            key = change.table.key_of(change.before)
            rows[change.table.name][key] = (change.table, change.before)
    named: dict[str, list[Any]] = {
        name: [dict(zip(t.columns, row, strict=True)) for t, row in many.values()]
        for name, many in rows.items()
    }
    before, _lost = read_state(named, lambda id_: made[id_] if id_ in made else asset(id_))
    before = replace(before, review_id=state.review_id)
    check_state(before)
    return before


def wanted_by(steps: Iterable[Step]) -> frozenset[str]:
    """The bulky things that taking back these steps may want."""
    stored = (_as_stored(step) for step in steps)
    return wanted_assets(ReviewState(), (step for step in stored if step is not None))


def to_store(
    steps: Iterable[Step], state: ReviewState, size_of: Callable[[str], int]
) -> tuple[UndoStep, ...]:
    """The last steps as the file keeps them, within their bounds.

    Parameters
    ----------
    size_of : bytes of an asset, 0 where it is not there
    """
    kept: list[UndoStep] = []
    used, asset_bytes = 0, 0
    known = wanted_assets(state, ())
    for step in reversed(tuple(steps)):
        stored = _as_stored(step)
        if stored is None:
            break
        used += len(to_text(stored.changes))
        new = wanted_assets(ReviewState(), (stored,)) - known
        asset_bytes += sum(map(size_of, new))
        known |= new
        if len(kept) == MOST_STEPS or used > MOST_BYTES or asset_bytes > MOST_ASSET_BYTES:
            break
        kept.append(stored)
    return tuple(reversed(kept))


def _as_stored(step: Step) -> UndoStep | None:
    if step.stored is None and step.before is not None and step.after is not None:
        return UndoStep(step.label, delta(step.before, step.after).rows)
    return step.stored
