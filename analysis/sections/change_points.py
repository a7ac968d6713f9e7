"""Where a row of strokes changes for good: stretches that straight lines describe.

Exact search for the cut with the least penalised squared error (optimal partitioning: Jackson et
al. 2005, IEEE Signal Process Lett 12:105-108; with the pruning of PELT: Killick, Fearnhead & Eckley
2012, J Am Stat Assoc 107:1590-1598). The package `ruptures` has the method too, but its linear
model joins the lines where they meet, its search is a Python loop over all pairs, and it has no
answer to neighbours that resemble each other; the search itself is the twenty lines here.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from analysis.signals.signal import FloatArray


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

    def __call__(self, first: FloatArray | int, end: FloatArray | int) -> FloatArray:
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


def cut(costs: LineCosts, least: int, penalty: float) -> list[int]:
    """Find where new stretches begin.

    Parameters
    ----------
    least : strokes a stretch has at least
    penalty : what each further stretch must save, in squared noise

    Returns
    -------
    Rows, ascending, without 0; empty for one stretch.
    """
    count = len(costs.values)
    best = np.full(count + 1, np.inf)
    best[0] = -penalty
    came_from = np.zeros(count + 1, dtype=np.intp)
    # A start that cannot win at one end, even with the penalty off, cannot win at any end that a
    # stretch from there could reach.
    no_more = np.full(count + 1, np.inf)
    starts = np.array([0])
    for end in range(least, count + 1):
        starts = starts[no_more[starts] > end]
        total = best[starts] + costs(starts, end).sum(axis=1) + penalty
        pick = int(total.argmin())
        best[end], came_from[end] = total[pick], starts[pick]
        beaten = starts[total - penalty > best[end]]
        no_more[beaten] = np.minimum(no_more[beaten], end + least)
        starts = np.append(starts, end - least + 1)
    cuts = []
    at = int(came_from[count])
    while at > 0:
        cuts.append(at)
        at = int(came_from[at])
    return cuts[::-1]
