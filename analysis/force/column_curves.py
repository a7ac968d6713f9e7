"""What the columns of a table look like: a small curve each, to tell which is the force."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from analysis.force.delimited import Layout
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


def column_curves(layout: Layout) -> tuple[ColumnCurve, ...]:
    """Give the curves of the columns that hold numbers, at most `MOST_CURVES`, in their order."""
    found: list[ColumnCurve] = []
    for column in layout.numeric[:MOST_CURVES]:
        values = layout.numbers(column)
        values = values[np.isfinite(values)]
        if len(values):
            found.append(ColumnCurve(column, tuple(_outline(values).tolist())))
    return tuple(found)


def _outline(values: FloatArray) -> FloatArray:
    """No peak is lost where many rows share a pixel: both ends of each stretch are kept."""
    if len(values) <= 2 * _BINS:
        return values
    parts = np.array_split(values, _BINS)
    return np.array([end for part in parts for end in (part.min(), part.max())])
