"""What the columns of a table look like: a small curve each, to tell which is the force."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Final

import numpy as np

from analysis.force.delimited import Layout, split
from analysis.force.notation import to_number
from analysis.force.trace import FloatArray

MOST_CURVES: Final = 40
_BINS: Final = 120


@dataclass(frozen=True)
class ColumnCurve:
    """A column of numbers, as far as the beginning of the file shows it.

    Attributes
    ----------
    column : from 0
    values : in the file's own unit; of many rows the least and the greatest of each stretch
    """

    column: int
    values: tuple[float, ...]

    @property
    def least(self) -> float:
        """The smallest value that is shown, in the file's unit."""
        return min(self.values)

    @property
    def greatest(self) -> float:
        """The largest value that is shown, in the file's unit."""
        return max(self.values)


def column_curves(layout: Layout, lines: Sequence[str] = ()) -> tuple[ColumnCurve, ...]:
    """Give the curves of the columns that hold numbers, at most `MOST_CURVES`, in their order.

    Parameters
    ----------
    lines : of the file from its beginning, where more of them are at hand than the layout was told
        by: a recorder often starts before the first stroke
    """
    data = [split(line, layout.delimiter) for line in lines[layout.data_line :]]
    rows: Sequence[Sequence[str]] = data if len(data) > len(layout.rows) else layout.rows
    found: list[ColumnCurve] = []
    for column in layout.numeric[:MOST_CURVES]:
        cells = (row[column] for row in rows if column < len(row))
        values = np.array([to_number(cell, layout.decimal) for cell in cells], dtype=np.float64)
        values = values[np.isfinite(values)]
        if len(values):
            found.append(ColumnCurve(column, tuple(_outline(values).tolist())))
    return tuple(found)


def _outline(values: FloatArray) -> FloatArray:
    """No peak is lost where many rows share a pixel: both ends of each stretch are kept."""
    if len(values) <= 2 * _BINS:
        return values
    # Stretches alike in length all along, so that what rises evenly is drawn straight.
    edges = np.linspace(0, len(values), _BINS + 1).astype(int)
    parts = [values[a:b] for a, b in pairwise(edges.tolist())]
    return np.array([end for part in parts for end in (part.min(), part.max())])
