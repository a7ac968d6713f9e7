"""Where a row of strokes changes for good: stretches that straight lines describe.

Exact search for the cut with the least penalised squared error (optimal partitioning: Jackson et
al. 2005, IEEE Signal Process Lett 12:105-108). The package `ruptures` has the method too, but its
linear model joins the lines where they meet, its search is a Python loop over all pairs, and it has
no answer to neighbours that resemble each other; the search itself is the twenty lines here.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from analysis.signals.signal import FloatArray

Rows = NDArray[np.intp]


@dataclass(frozen=True)
class LineCosts:
    """Squared error about the best line of any stretch, summed over channels.

    Attributes
    ----------
    values : (N, C) each channel in units of its noise
    """

    values: FloatArray
    _sums: tuple[FloatArray, ...]

    @classmethod
    def of(cls, values: FloatArray) -> LineCosts:
        """Prepare the running sums that make every stretch a difference of two of them."""
        x = np.arange(len(values), dtype=np.float64) - 0.5 * len(values)
        y = values - values.mean(axis=0)
        columns = (np.ones(len(x)), x, x * x)
        sums = [_running(c[:, None]) for c in columns]
        sums += [_running(y), _running(y * x[:, None]), _running(y * y)]
        return cls(values, tuple(sums))

    def __call__(self, first: Rows | int, end: Rows | int) -> FloatArray:
        """Give the error of the stretches from `first` up to, not with, `end`, each channel."""
        n, sx, sxx, sy, sxy, syy = (s[end] - s[first] for s in self._sums)
        about_x = sxx - sx * sx / n
        about_xy = sxy - sx * sy / n
        slope_part = np.where(about_x > 0.0, about_xy**2 / np.where(about_x > 0.0, about_x, 1.0), 0)
        left: FloatArray = np.maximum(syy - sy * sy / n - slope_part, 0.0)
        return left


def _running(values: FloatArray) -> FloatArray:
    zero = np.zeros((1, values.shape[1]))
    return np.concatenate((zero, np.cumsum(values, axis=0)))


def cut(costs: LineCosts, least: int, penalty: float, most_places: int = 800) -> list[int]:
    """Find where new stretches begin.

    Parameters
    ----------
    least : strokes a stretch has at least
    penalty : what each further stretch must save, in squared noise
    most_places : of a longer row only so many places are tried, evenly spread, and each found is
        then put right among those around it: the time grows with their square

    Returns
    -------
    Rows, ascending, without 0; empty for one stretch.
    """
    count = len(costs.values)
    step = -(-count // most_places)
    places = np.append(np.arange(0, count, step), count)
    best = np.full(len(places), np.inf)
    best[0] = -penalty
    came_from = np.zeros(len(places), dtype=np.intp)
    for at in range(1, len(places)):
        starts = np.flatnonzero(places[at] - places[:at] >= least)
        if len(starts) == 0:
            continue
        total = best[starts] + costs(places[starts], places[at]).sum(axis=1) + penalty
        came_from[at] = starts[int(total.argmin())]
        best[at] = total.min()
    cuts: list[int] = []
    at = int(came_from[-1])
    while at > 0:
        cuts.append(int(places[at]))
        at = int(came_from[at])
    return cuts[::-1] if step == 1 else _put_right(costs, cuts[::-1], least, step)


def _put_right(costs: LineCosts, cuts: list[int], least: int, step: int) -> list[int]:
    """Each boundary at the best place within a step of it."""
    right: list[int] = []
    for i, at in enumerate(cuts):
        first = right[-1] if right else 0
        end = cuts[i + 1] if i + 1 < len(cuts) else len(costs.values)
        near = np.arange(max(first + least, at - step), min(end - least, at + step) + 1)
        both = costs(first, near).sum(axis=1) + costs(near, end).sum(axis=1)
        right.append(int(near[int(both.argmin())]) if len(near) else at)
    return right
