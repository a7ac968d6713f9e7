"""A long trace thinned for the screen without losing a spike."""

from __future__ import annotations

from collections.abc import Callable, Iterator

import numpy as np

from analysis.clocks.alignment import Alignment
from analysis.force.trace import FloatArray

FACTOR = 4
SMALLEST = 512


class Pyramid:
    """Minimum and maximum over ever longer runs of samples.

    Parameters
    ----------
    x, y : (N,) float64, x ascending
    """

    def __init__(self, x: FloatArray, y: FloatArray) -> None:
        self._x = x
        self._y = y
        # Levels above the samples: x of each run's first sample, its lowest and highest y.
        self._levels: list[tuple[FloatArray, FloatArray, FloatArray]] = []
        low, high, start = y, y, x
        while len(start) > SMALLEST * FACTOR:
            heads = np.arange(0, len(start), FACTOR)  # the last run takes the remainder
            low = np.minimum.reduceat(low, heads)
            high = np.maximum.reduceat(high, heads)
            start = start[heads]
            self._levels.append((start, low, high))

    def view(self, x0: float, x1: float, columns: int) -> tuple[FloatArray, FloatArray]:
        """What to draw between x0 and x1 on `columns` pixels.

        Returns
        -------
        x, y : the samples themselves where they are few, else a zigzag of minimum and maximum
        """
        first, last = self._cut(self._x, x0, x1)
        if last - first <= 4 * columns or not self._levels:
            return self._x[first:last], self._y[first:last]
        for level in self._levels:
            start, low, high = level
            first, last = self._cut(start, x0, x1)
            if last - first <= 2 * columns:
                break
        x = np.repeat(start[first:last], 2)
        y = np.empty(len(x))
        y[0::2] = low[first:last]
        y[1::2] = high[first:last]
        return x, y

    @staticmethod
    def _cut(x: FloatArray, x0: float, x1: float) -> tuple[int, int]:
        """Indices of the stretch and one sample more at each side: lines leave the view."""
        first = max(int(np.searchsorted(x, x0)) - 1, 0)
        last = min(int(np.searchsorted(x, x1)) + 1, len(x))
        return first, last


def on_film(
    view: Callable[[float, float, int], tuple[FloatArray, FloatArray]],
    alignment: Alignment,
    left_s: float,
    right_s: float,
    columns: int,
) -> Iterator[tuple[FloatArray, FloatArray]]:
    """What to draw of a recording over the film's seconds, apart for each side of a cut in it.

    Parameters
    ----------
    view : as `Pyramid.view`, on the recording's clock
    left_s, right_s : what is looked at, s of the film
    """
    for begin_s, end_s, line in alignment.lines(left_s, right_s):
        share = (end_s - begin_s) / max(right_s - left_s, 1e-9)
        rate = 1.0 + line.drift_ppm * 1e-6
        first_s, last_s = ((edge_s - line.offset_s) * rate for edge_s in (begin_s, end_s))
        x, y = view(first_s, last_s, max(int(columns * share), 2))
        at_s = x / rate + line.offset_s
        if alignment.is_partial:  # what is drawn reaches a sample beyond either end
            use = (at_s >= begin_s) & (at_s <= end_s)
            at_s, y = at_s[use], y[use]
        yield at_s, y
