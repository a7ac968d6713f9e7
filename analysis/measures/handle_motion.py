"""Where the handle is and how fast it moves, without the noise of its sensor."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from analysis.measures.noise import noise_of
from analysis.signals.signal import FloatArray, Signal

# Speed is the slope of a cubic through each 0.2 s (Savitzky & Golay 1964, Anal Chem 36:1627-1639):
# half power near 7 Hz, where followed points of slow cyclic movement are cut too. Position keeps
# its sharp turn better through 0.1 s. Common practice, no source.
SPEED_WINDOW_S = 0.2
POSITION_WINDOW_S = 0.1
FEWEST = 5  # samples of a cubic that is to smooth
SLOWEST_STEP_S = 0.05  # from here on these are longer than the window of the speed


@dataclass(frozen=True)
class HandleMotion:
    """The handle around one drive on an even clock.

    Attributes
    ----------
    time_s : (n,) s; half a window of the speed is known beyond either end
    position_m, speed_m_s : (n,) smoothed; speed is positive in the drive
    noise_m : standard deviation of the noise of the samples as recorded
    """

    time_s: FloatArray
    position_m: FloatArray
    speed_m_s: FloatArray
    noise_m: float


def handle_motion(handle: Signal, from_s: float, to_s: float) -> HandleMotion | None:
    """Smooth a stretch of the handle; None where its samples are too few or too far apart.

    Parameters
    ----------
    from_s, to_s : what must be covered; half a window more is looked at on either side
    """
    clock = handle.time_s
    half_s = 0.5 * SPEED_WINDOW_S
    first, last = np.searchsorted(clock, (from_s - half_s, to_s + half_s))
    time_s, position = clock[first:last], handle.values[first:last]
    if last - first < FEWEST:
        return None
    step_s = handle.interval_s
    if step_s > SLOWEST_STEP_S:
        return None
    narrow, wide = (_samples(window_s, step_s) for window_s in (POSITION_WINDOW_S, SPEED_WINDOW_S))
    even_s = np.arange(time_s[0], time_s[-1] + 0.5 * step_s, step_s)
    margin = wide // 2
    if len(even_s) < wide:
        return None
    even = np.interp(even_s, time_s, position)
    inner = slice(margin, len(even) - margin)
    return HandleMotion(
        even_s[inner],
        np.convolve(even, _cubic(narrow, 0), "same")[inner],
        np.convolve(even, _cubic(wide, 1), "valid") / step_s,
        noise_of(position),
    )


def _samples(window_s: float, step_s: float) -> int:
    return max(FEWEST, 2 * round(0.5 * window_s / step_s) + 1)


@lru_cache(maxsize=32)
def _cubic(width: int, derivative: int) -> FloatArray:
    """Weights that fit a cubic to so many samples and give its value or slope in the middle."""
    from scipy.signal import savgol_coeffs

    weights: FloatArray = savgol_coeffs(width, 3, deriv=derivative)
    return weights
