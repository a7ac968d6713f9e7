"""Strokes that resemble their neighbours, and how much less they say of a mean than others do.

Who rows a little long tends to row the next stroke a little long too. Then the mean of n strokes
is known worse than that of n unrelated ones, and their spread looks smaller than it is. Both
follow from one figure, the first-order autocorrelation r, when each stroke takes r of what the one
before it was off (a first-order autoregression, AR(1); any text on time series).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from analysis.signals.signal import FloatArray

# More cannot be told from "for ever the same" in a piece anybody rows; from few strokes not even
# that much, and ranges twice as wide hold no more often (measured up to r 0.6).
LARGEST, LARGEST_OF_FEW = 0.9, 0.7
# As alike as strokes may be without its being seen in a few of them: the most that was measured.
UNSEEN: Final = 0.6
# Below so many strokes it cannot be seen in them how alike they are. Measured: with strokes of
# r 0, 0.3 and 0.6 equally often, the ranges of fewer than FEW that look no more alike than SEEN
# hold the truth in less than 93 of 100 cases (tests/benchmarks/comparison_intervals.py).
FEW: Final = 20
SEEN: Final = 0.45
# So few on one side leave too little even where they are seen to be alike.
VERY_FEW: Final = 8


@dataclass(frozen=True)
class Spread:
    """What the strokes of one piece say of a measure.

    Attributes
    ----------
    mean_variance : of their mean, square of the unit
    variance : of a single stroke, freed of what resemblance hides
    freedom : degrees of freedom of the variance of the mean
    resemblance : estimated first-order autocorrelation
    """

    mean_variance: float
    variance: float
    freedom: float
    resemblance: float


def spread_of(values: FloatArray, at_least: float = 0.0) -> Spread:
    """How well a mean is known from strokes in a row.

    The mean of n values of an AR(1) varies by v σ²/n with v = 1 + 2 Σ (1 - k/n) r^k over k = 1 to
    n - 1 (Bayley & Hammersley 1946), and their sample variance has the expectation
    σ² (n - v)/(n - 1), which gives σ² back. n/v is how many unrelated strokes they are worth.

    Parameters
    ----------
    values : (n,) in the order they were rowed, two or more
    at_least : an autocorrelation to reckon with although less is seen
    """
    n = len(values)
    r = max(resemblance(values), at_least)
    lags = np.arange(1, n)
    v = 1.0 + 2.0 * float(((1.0 - lags / n) * r**lags).sum())
    variance = float(values.var(ddof=1)) * (n - 1.0) / max(n - v, 0.5)
    return Spread(variance * v / n, variance, max(n / v - 1.0, 1.0), r)


def resemblance(values: FloatArray) -> float:
    """First-order autocorrelation of strokes in the order they were rowed, 0 to 0.9.

    The usual estimate is too small by (1 + 3 r)/n (Kendall 1954, Biometrika 41:403-404; Marriott &
    Pope 1954, ibid. 390-402, from memory), which is put right here. What is below 0 counts as 0: no
    athlete alternates so surely that a mean would be known better for it.
    """
    off = values - values.mean()
    total, n = float((off**2).sum()), len(values)
    if n < 4 or total <= 0.0:
        return 0.0
    r = float((off[1:] * off[:-1]).sum()) / total
    largest = LARGEST if n >= FEW else LARGEST_OF_FEW
    return min(max((n * r + 1.0) / (n - 3.0), 0.0), largest)


def is_hint(*sides: FloatArray) -> bool:
    """Whether a range made from these strokes may be too narrow, and is a hint only.

    Decided by their number and by how alike they look: few strokes that look unrelated may be alike
    all the same, and nothing in them shows it; few that are seen to be alike get a range so wide
    that it holds.
    """
    few = [values for values in sides if len(values) < FEW]
    if not few:
        return False
    very_few = min(len(values) for values in few) < VERY_FEW
    return very_few or max(resemblance(values) for values in few) < SEEN
