"""Taking the jumps out of followed points."""

from __future__ import annotations

import numpy as np

from analysis.signals.signal import FloatArray

# Body markers in slow cyclic movement: 4-8 Hz is usual (from memory).
CUT_OFF_HZ = 6.0
FEWEST = 10  # samples the filter needs
LONGEST = 5_000_000  # even samples; a hole of days in the clock is not filled


def low_pass(values: FloatArray, sample_hz: float, cut_off_hz: float) -> FloatArray:
    """Second-order Butterworth run forth and back: no delay, half power at the cut-off.

    Two passes lower the cut-off; the design frequency is raised for it on the pre-warped axis,
    by (2**(1/2) - 1)**(1/4) (Winter, Biomechanics and Motor Control of Human Movement, 4th ed.,
    p. 69; Robertson et al., Research Methods in Biomechanics, 2nd ed., p. 288).

    Parameters
    ----------
    values : (N,) evenly sampled; too few to filter come back as they are
    """
    from scipy.signal import butter, filtfilt

    if len(values) < FEWEST or cut_off_hz >= 0.4 * sample_hz:
        return values
    b, a = butter(2, design_hz(sample_hz, cut_off_hz), fs=sample_hz)
    filtered: FloatArray = filtfilt(b, a, values)
    return filtered


def design_hz(sample_hz: float, cut_off_hz: float) -> float:
    """Cut-off to design one pass with, so that two passes have half power at `cut_off_hz`."""
    correction = (2.0**0.5 - 1.0) ** 0.25
    warped = np.tan(np.pi * cut_off_hz / sample_hz) / correction
    return float(sample_hz / np.pi * np.arctan(warped))


def calm_series(time_s: FloatArray, values: FloatArray, cut_off_hz: float) -> FloatArray:
    """Low-pass a series with holes and uneven times; what was unknown stays unknown.

    Parameters
    ----------
    time_s : (N,) s, ascending
    values : (N,) NaN where unknown
    """
    known = np.isfinite(values)
    if known.sum() < FEWEST:
        return values
    step_s = float(np.median(np.diff(time_s)))
    span = float(time_s[-1] - time_s[0])
    if step_s <= 0.0 or span / step_s > LONGEST:
        return values
    even_s = np.arange(time_s[0], time_s[-1] + 0.5 * step_s, step_s)
    even = np.interp(even_s, time_s[known], values[known])
    smooth = np.interp(time_s, even_s, low_pass(even, 1.0 / step_s, cut_off_hz))
    return np.where(known, smooth, np.nan)
