"""How noisy samples are, and a drive without its noise."""

from __future__ import annotations

import numpy as np

from analysis.signals.signal import FloatArray, Signal

# Noise beyond this share of the peak lifts a highest sample by 1 % or more. Common practice,
# no source.
NOISE_SHARE = 0.005
# Window of the smoothing: the noisier the wider, up to where a give of 0.1 s still keeps its
# depth. Common practice, no source.
SMOOTH_S = (0.06, 0.15)
WIDEST_FROM = 0.02  # noise, as a share of the peak, from which the window is widest


def noise_of(values: FloatArray) -> float:
    """Standard deviation of the noise on some evenly spaced samples, in their unit.

    From the fourth differences, in which a force curve all but vanishes; those of white noise
    have a variance 70 times its own (1 + 16 + 36 + 16 + 1).
    """
    if len(values) < 12:
        return 0.0
    rough = np.diff(values, 4)
    return 1.4826 * float(np.median(np.abs(rough))) / 70.0**0.5


def drive_samples(signal: Signal, catch_s: float, finish_s: float) -> tuple[FloatArray, FloatArray]:
    """Samples of a drive with its two ends interpolated: (n,) s and (n,), n >= 2."""
    clock, values = signal.time_s, signal.values
    ends = np.array([catch_s, finish_s])
    first = int(np.searchsorted(clock, catch_s, side="right"))
    last = int(np.searchsorted(clock, finish_s, side="left"))
    around = slice(max(0, first - 1), last + 1)
    at_ends = np.interp(ends, clock[around], values[around])
    time_s = np.concatenate((ends[:1], clock[first:last], ends[1:]))
    return time_s, np.concatenate((at_ends[:1], values[first:last], at_ends[1:]))


def calm_drive(signal: Signal, time_s: FloatArray, values: FloatArray) -> FloatArray:
    """Force of a drive without its noise, (n,); as given where it is quiet.

    A cubic through each 0.06-0.15 s on an even clock (Savitzky & Golay 1964, Anal Chem
    36:1627-1639).

    Parameters
    ----------
    time_s, values : (n,) the drive with its ends, as `drive_samples` gives it
    """
    inner = values[1:-1]
    noise = noise_of(inner) / max(float(values.max()), 1e-9)
    if noise <= NOISE_SHARE:
        return values
    from scipy.signal import savgol_filter

    step_s = float(np.median(np.diff(time_s[1:-1])))
    window_s = float(np.clip(SMOOTH_S[1] * noise / WIDEST_FROM, *SMOOTH_S))
    width = 2 * round(0.5 * window_s / step_s) + 1
    even_s = np.arange(time_s[0] - window_s, time_s[-1] + window_s, step_s)
    if width < 5 or len(even_s) < width:
        return values
    even = _on_even_clock(signal, even_s)
    smooth: FloatArray = np.interp(time_s, even_s, savgol_filter(even, width, 3))
    return smooth


def _on_even_clock(signal: Signal, even_s: FloatArray) -> FloatArray:
    clock = signal.time_s
    first, last = np.searchsorted(clock, [even_s[0], even_s[-1]])
    around = slice(max(0, int(first) - 1), int(last) + 1)
    even: FloatArray = np.interp(even_s, clock[around], signal.values[around])
    return even
