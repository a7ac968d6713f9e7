"""How well a mean is known from strokes in a row, whatever way they depend on each other.

Strokes that follow each other resemble each other, over one stroke or over fifty. The variance of
their mean is the power of the row at its slowest, so it is taken there: from the few slowest
cosines of the row, each as long as it (the equal-weighted cosine estimate of a long-run variance:
Müller 2004; Lazarus, Lewis, Stock & Watson 2018, J Bus Econ Stat 36:541-559, from memory). No law
of dependence is assumed; the price is Student's t with as many degrees of freedom as cosines.
Measured: tests/benchmarks/comparison_intervals.py.

What is slower than the piece, and the form of the day, no stroke of it can show.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from analysis.signals.signal import FloatArray

# Fewer strokes do not show how alike they are.
FEW: Final = 20
# Cosines from n strokes: the more, the narrower and the more trusting. Chosen by measurement.
COSINES: Final = 0.6  # times the square root of n, two at least
# Power of the two slowest cosines against the quicker two thirds: rarer than this by chance is a
# slow change that was seen.
SLOW_SEEN: Final = 0.05
SLOWEST: Final = 2
# Slow wander that is held to be in the strokes although they do not show it, times the variance
# they show: a quarter of what is seen, which is a fifth of all there is.
WANDER: Final = 0.25


@dataclass(frozen=True)
class MeanError:
    """What the strokes of one piece say of their mean.

    Attributes
    ----------
    variance : of the mean, square of the unit
    freedom : degrees of freedom of that
    stroke_variance : of a single stroke, with what their likeness hides from the sample variance
    """

    variance: float
    freedom: float
    stroke_variance: float


def mean_error(values: FloatArray) -> MeanError:
    """Estimate how far the mean of strokes in a row may be off.

    Parameters
    ----------
    values : (n,) in the order they were rowed, two or more
    """
    n = len(values)
    power = _cosines(values)
    few = min(n - 1, max(2, round(COSINES * n**0.5)))
    variance = float(power[:few].mean()) / n
    return MeanError(variance, float(few), float(values.var()) + variance)


def changes_slowly(values: FloatArray) -> bool:
    """Whether strokes wander or drift more slowly than unrelated ones would by chance."""
    from scipy.stats import f

    n = len(values)
    power = _cosines(values)
    quick = power[max(SLOWEST, (n - 1) // 3) :]
    if n < 8 or float(quick.sum()) <= 0.0:
        return False
    ratio = float(power[:SLOWEST].mean() / quick.mean())
    return bool(f.sf(ratio, SLOWEST, len(quick)) < SLOW_SEEN)


def _cosines(values: FloatArray) -> FloatArray:
    """Power of the row at each cosine, the slowest first, without the mean: (n - 1,)."""
    from scipy.fft import dct

    power: FloatArray = dct(values, type=2, norm="ortho")[1:] ** 2
    return power
