"""Statistics that respect strokes: there are few in a piece, and neighbours resemble each other.

Quantiles are taken from `scipy.special`: `scipy.stats`, which asks the same functions, takes as
long to be imported as a clip to be made.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from analysis.signals.signal import FloatArray

FEWEST_INDEPENDENT = 4.0
MOST_FOR_ALL_PAIRS = 400  # above, the pairs would fill the memory and tell nothing more
IndexArray = NDArray[np.intp]


def wilson(hits: int, count: int) -> tuple[float, float]:
    """95 % interval of a share (Wilson 1927, J Am Stat Assoc 22:209-212); (0, 1) of nothing."""
    if count <= 0:
        return 0.0, 1.0
    from scipy.special import ndtri

    z2 = float(ndtri(0.975)) ** 2
    share, widen = hits / count, 1.0 + z2 / count
    middle = (share + z2 / (2 * count)) / widen
    half = (z2 * share * (1.0 - share) / count + (z2 / (2 * count)) ** 2) ** 0.5 / widen
    low = middle - half if hits > 0 else 0.0
    high = middle + half if hits < count else 1.0
    return low, high


@dataclass(frozen=True)
class Trend:
    """A straight trend over a piece.

    Attributes
    ----------
    first, last : value of the line at the first and at the last stroke
    change : last minus first, as a share of first
    low, high : 95 % interval of `change`
    error, freedom : standard error of `change` and its degrees of freedom
    """

    first: float
    last: float
    change: float
    low: float
    high: float
    error: float
    freedom: float

    def between(self, confidence: float) -> tuple[float, float]:
        """The interval of `change` with another confidence."""
        from scipy.special import stdtrit

        half = float(stdtrit(self.freedom, 0.5 + 0.5 * confidence)) * self.error
        return self.change - half, self.change + half


def trend(values: FloatArray, at: FloatArray | None = None) -> Trend | None:
    """Trend of a measure over strokes; None for fewer than 5 of them.

    Slope: median of pairwise slopes (Theil 1950; Sen 1968, J Am Stat Assoc 63:1379-1389), which a
    few odd strokes cannot turn. Interval: standard error of a regression slope with as many
    independent strokes as the likeness of neighbours leaves, n (1 - r) / (1 + r), r the
    first-order autocorrelation of the residuals (Santer et al. 2000, J Geophys Res 105:7337-7356;
    reference from memory).

    Parameters
    ----------
    values : (S,) one a stroke, positive
    at : (S,) place of each stroke, ascending; by default 0, 1, 2 ...
    """
    from scipy.special import stdtrit

    n = len(values)
    if n < 5:
        return None
    x = np.arange(n, dtype=np.float64) if at is None else np.asarray(at, dtype=np.float64)
    i, j = _pairs(n)
    slope = float(np.median((values[j] - values[i]) / (x[j] - x[i])))
    level = float(np.median(values - slope * x))
    first, last = level + slope * x[0], level + slope * x[-1]
    if first <= 0.0:
        return None
    residuals = values - level - slope * x
    residuals = residuals - residuals.mean()
    freedom = max(n * _independence(residuals), FEWEST_INDEPENDENT) - 2.0
    error = np.sqrt((residuals**2).sum() / freedom / ((x - x.mean()) ** 2).sum())
    error = float(error * (x[-1] - x[0]) / first)
    half = float(stdtrit(freedom, 0.975)) * error
    change = float((last - first) / first)
    return Trend(
        float(first), float(last), change, change - half, change + half, error, float(freedom)
    )


def _pairs(n: int) -> tuple[IndexArray, IndexArray]:
    """Pairs of strokes; of a very long piece only those a third of it apart or more.

    `scipy.stats.theilslopes` would hold all pairs and sort them: gigabytes for 20 000 strokes.
    """
    if n <= MOST_FOR_ALL_PAIRS:
        i, j = np.triu_indices(n, 1)
        return i, j
    i = np.arange(n - n // 3)
    return np.concatenate((i, i[: n - n // 2])), np.concatenate(
        (i + n // 3, i[: n - n // 2] + n // 2)
    )


def _independence(residuals: FloatArray) -> float:
    """How much of a stroke is news after the one before it, above 0 and at most 1."""
    alike = _alike(residuals)
    return (1.0 - alike) / (1.0 + alike)


def _alike(residuals: FloatArray) -> float:
    """First-order autocorrelation of what is left of a trend, 0 to 0.9."""
    total = float((residuals**2).sum())
    if total <= 0.0:
        return 0.0
    alike = float((residuals[1:] * residuals[:-1]).sum()) / total
    # Short series look less alike than they are; the correction is Kendall's (1954, Biometrika
    # 41:403-404).
    return float(np.clip(alike + (1.0 + 4.0 * alike) / len(residuals), 0.0, 0.9))


def spread_share(values: FloatArray, confidence: float = 0.95) -> tuple[float, float, float]:
    """Coefficient of variation about a straight trend with its interval.

    Returns
    -------
    (share, low, high); the interval from the chi-square distribution of a variance, with as many
    degrees of freedom as strokes that resemble their neighbours leave: (1 - r²) / (1 + r²) of them
    (Bayley & Hammersley 1946, from memory).
    """
    from scipy.special import chdtri

    n = len(values)
    line = trend(values)
    middle = float(np.median(values))
    if line is None or middle <= 0.0:
        return 0.0, 0.0, float("inf")
    along = np.linspace(line.first, line.last, n)
    share = float(np.sqrt(((values - along) ** 2).sum() / (n - 2))) / middle
    alike = _alike(values - along)
    freedom = max((n - 2) * (1.0 - alike**2) / (1.0 + alike**2), 1.0)
    tail = 0.5 * (1.0 - confidence)
    # What it asks for is the upper tail.
    low, high = np.sqrt(freedom / chdtri(freedom, np.array([tail, 1.0 - tail])))
    return share, share * float(low), share * float(high)


@dataclass(frozen=True)
class Difference:
    """Late part minus early part of a piece, as a share of the early part."""

    early: float
    late: float
    change: float
    low: float
    high: float


def early_and_late(
    values: FloatArray, part: float = 1 / 3, rounds: int = 1000
) -> Difference | None:
    """Compare the first and the last part of a piece; None for fewer than 5 strokes a part.

    Medians, with a 95 % interval from drawing blocks of neighbouring strokes with replacement
    (moving blocks, Künsch 1989, Ann Stat 17:1217-1241).

    Parameters
    ----------
    values : (S,) one a stroke
    part : share of the strokes in each part
    """
    count = int(len(values) * part)
    if count < 5:
        return None
    early, late = values[:count], values[-count:]
    before, after = float(np.median(early)), float(np.median(late))
    if before <= 0.0:
        return None
    rng = np.random.default_rng(0)
    drawn = np.median(_blocks(late, rounds, rng), axis=1) / np.median(
        _blocks(early, rounds, rng), axis=1
    )
    low, high = np.quantile(drawn - 1.0, (0.025, 0.975))
    return Difference(before, after, after / before - 1.0, float(low), float(high))


def _blocks(values: FloatArray, rounds: int, rng: np.random.Generator) -> FloatArray:
    n = len(values)
    length = max(1, round(n ** (1 / 3)))
    starts = rng.integers(0, n - length + 1, (rounds, -(-n // length)))
    rows = (starts[:, :, None] + np.arange(length)).reshape(rounds, -1)[:, :n]
    drawn: FloatArray = values[rows]
    return drawn
