"""The columns of a force file beside time, force and handle position, as signals.

Nothing here knows what they are called: a heading gives a title and a unit, and that is all.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from analysis.force.delimited import Layout, holds_numbers
from analysis.force.trace import FORCE, HANDLE, ColumnMapping
from analysis.signals.signal import TRACE, FloatArray, Signal, unique
from analysis.signals.units import heading, known_unit, slug

MOST_SIGNALS = 32  # force and handle position among them
NAMED = 4  # columns named in a remark; of more only their number
MOST_DIGITS = 4
# A column that only ever grows, in steps this alike, counts rows or time.
COUNTER_STEPS = 0.2
COUNTER_ROWS = 5000


@dataclass(frozen=True)
class FurtherColumn:
    """A column to be read as a signal.

    Attributes
    ----------
    column : from 0
    name, title : as `Signal`; unique within the file
    unit, factor : unit it is kept in, and what the file's numbers are multiplied by for it
    decimals : decimals as written in the file
    """

    column: int
    name: str
    title: str
    unit: str
    factor: float
    decimals: int


def further_columns(
    layout: Layout, mapping: ColumnMapping, remarks: list[str]
) -> tuple[FurtherColumn, ...]:
    """Columns that hold numbers and are not time, force or handle position."""
    used = {mapping.force_column, mapping.time_column, mapping.position_column}
    free = [c for c in range(len(layout.columns)) if c not in used and holds_numbers(layout, c)]
    room = MOST_SIGNALS - (1 if mapping.position_column is None else 2)
    if len(free) > room:
        remarks.append(
            f"{len(free) - room} further columns were left out: {MOST_SIGNALS} signals are read."
        )
    found: list[FurtherColumn] = []
    names, titles = [FORCE, HANDLE], ["Handle force", "Handle position"]
    for column in free[:room]:
        title, written = heading(layout.columns[column])
        title = title or f"column {column + 1}"
        unit, factor = known_unit(written) or (written, 1.0)
        found.append(
            FurtherColumn(
                column,
                unique(slug(title) or f"column-{column + 1}", names, "-"),
                unique(title, titles),
                unit,
                factor,
                _decimals(layout, column),
            )
        )
        names.append(found[-1].name)
        titles.append(found[-1].title)
    return tuple(found)


def _decimals(layout: Layout, column: int) -> int:
    cells = (row[column] for row in layout.rows if column < len(row))
    written = (cell.partition(layout.decimal)[2] for cell in cells)
    return max((len(part) for part in written if part.isdigit()), default=0)


def worth_keeping(
    columns: Sequence[FurtherColumn], values: Sequence[FloatArray], remarks: list[str]
) -> tuple[tuple[FurtherColumn, ...], list[FloatArray]]:
    """Leave out what says nothing: columns that are empty, never change, or only count on.

    Parameters
    ----------
    values : (R,) as they stand in the file, one a column
    """
    kept: list[FurtherColumn] = []
    left: dict[str, list[str]] = {}
    rows: list[FloatArray] = []
    for column, numbers in zip(columns, values, strict=True):
        why = _says_nothing(numbers)
        if why:
            left.setdefault(why, []).append(column.title)
        else:
            kept.append(column)
            rows.append(numbers if column.factor == 1.0 else numbers * column.factor)
    remarks += [_left_out(titles, why) for why, titles in left.items()]
    return tuple(kept), rows


def _says_nothing(values: FloatArray) -> str:
    known = values[np.isfinite(values)]
    if len(known) < 2:
        return "no numbers"
    if known.min() == known.max():
        return "one number throughout"
    steps = np.diff(known[:COUNTER_ROWS])
    middle = float(np.median(steps))
    alike = np.mean(np.abs(steps - middle) <= COUNTER_STEPS * middle) > 0.98
    if len(known) > 2 and middle > 0.0 and alike and bool((np.diff(known) >= 0.0).all()):
        return "a count of rows or time"
    return ""


def _left_out(titles: list[str], why: str) -> str:
    if len(titles) > NAMED:
        return f"{len(titles)} columns hold {why}; they were left out."
    named = ", ".join(f"“{title}”" for title in titles)
    return f"{named} {'holds' if len(titles) == 1 else 'hold'} {why}; left out."


def as_signals(
    columns: Sequence[FurtherColumn], values: Sequence[FloatArray], time_s: FloatArray
) -> tuple[Signal, ...]:
    """Give columns of repaired samples as signals of the recording.

    Parameters
    ----------
    values : (N,) in the unit the column is kept in
    """
    return tuple(
        Signal(c.name, c.title, c.unit, _digits(c, numbers), TRACE, time_s, numbers)
        for c, numbers in zip(columns, values, strict=True)
    )


def _digits(column: FurtherColumn, values: FloatArray) -> int:
    """Decimals that show a hundredth of the signal's reach, no more than the file has."""
    known = values[np.isfinite(values)]
    reach = float(np.ptp(known)) if len(known) else 0.0
    written = column.decimals - round(float(np.log10(column.factor)))
    needed = 2 - int(np.floor(np.log10(reach))) if reach > 0.0 else 0
    return int(np.clip(min(written, needed), 0, MOST_DIGITS))
