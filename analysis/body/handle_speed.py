"""How fast the handle moves in the picture, and how sure that is."""

from __future__ import annotations

import numpy as np

from analysis.body.error_parts import JITTER, RETURNING
from analysis.signals.signal import FloatArray

# Slope of a cubic through each 0.2 s (Savitzky & Golay 1964, Anal Chem 36:1627-1639), as it is
# taken of a recorded position: half power near 7 Hz.
WINDOW_S = 0.2
SLOWEST_STEP_S = 0.05
USUAL_STROKE_HZ = 0.45  # 27 a minute: how often an error that comes with the stroke returns


def speed_of(
    time_s: FloatArray, handle: FloatArray, sd: FloatArray
) -> tuple[FloatArray, FloatArray] | None:
    """Speed of the handle, positive in the drive, with its standard deviation: (T,) each.

    Parameters
    ----------
    time_s : (T,) s
    handle, sd : (T,) any unit of length; NaN where not known, and speed is not known within half
        a window of that

    Returns
    -------
    None where the frames are too few or too far apart.
    """
    from scipy.signal import savgol_coeffs

    if len(time_s) < 8:
        return None
    step_s = float(np.median(np.diff(time_s)))
    width = 2 * round(0.5 * WINDOW_S / step_s) + 1
    if step_s > SLOWEST_STEP_S or width < 5:
        return None
    even_s = np.arange(time_s[0], time_s[-1] + 0.5 * step_s, step_s)
    known = np.isfinite(handle)
    if known.sum() < width or len(even_s) < width:
        return None
    weights = savgol_coeffs(width, 3, deriv=1, delta=step_s)
    even = np.interp(even_s, time_s[known], handle[known])
    slope = np.full(len(even_s), np.nan)
    inner = slice(width // 2, len(even_s) - width // 2)
    slope[inner] = np.convolve(even, weights, "valid")
    speed = np.interp(time_s, even_s, slope)
    speed[~_all_known(time_s, known)] = np.nan
    gain = np.hypot(
        RETURNING * 2.0 * np.pi * USUAL_STROKE_HZ, JITTER * float(np.sqrt((weights**2).sum()))
    )
    return speed, sd * gain


def _all_known(time_s: FloatArray, known: np.ndarray) -> np.ndarray:
    """Where no frame within half a window is unknown: (T,) bool."""
    lost = time_s[~known]
    if len(lost) == 0:
        return np.ones(len(time_s), dtype=np.bool_)
    after = np.clip(np.searchsorted(lost, time_s), 0, len(lost) - 1)
    before = np.clip(after - 1, 0, len(lost) - 1)
    gap = np.minimum(np.abs(lost[after] - time_s), np.abs(lost[before] - time_s))
    clear: np.ndarray = gap > 0.5 * WINDOW_S
    return clear
