"""Where the curve peaks, how fast it rises, how long it stays up."""

from __future__ import annotations

import numpy as np

from analysis.measures.measured_stroke import MeasuredStroke
from analysis.measures.spec import FORCE, HANDLE, MeasureSpec
from analysis.signals.signal import FloatArray

RFD_WINDOW_S = 0.05
PLATEAU_SHARE = 0.9


def steepest_rise(time_s: FloatArray, force_n: FloatArray, peak_s: float) -> float | None:
    """Largest slope of force over any 50 ms between the catch and the peak, N/s.

    A build-up shorter than 50 ms is looked at over its first 50 ms. None when the drive itself
    is shorter. The force is a chain of straight lines, so the largest rise has one end of its
    window on a sample (or on an end of the build-up): only those windows are tried.
    """
    last_s = max(peak_s, time_s[0] + RFD_WINDOW_S)
    if time_s[-1] < last_s:
        return None
    knots = np.concatenate((time_s[time_s <= last_s], [last_s]))
    begin = np.concatenate((knots, knots - RFD_WINDOW_S))
    begin = begin[(begin >= time_s[0]) & (begin + RFD_WINDOW_S <= last_s + 1e-12)]
    rise = np.interp(begin + RFD_WINDOW_S, time_s, force_n) - np.interp(begin, time_s, force_n)
    return float(rise.max() / RFD_WINDOW_S)


def time_above(time_s: FloatArray, force_n: FloatArray, level_n: float) -> float:
    """Seconds a chain of straight lines stands at or above a level, exactly."""
    left, right = force_n[:-1] - level_n, force_n[1:] - level_n
    high, low = np.maximum(left, right), np.minimum(left, right)
    steep = np.where(high > low, high - low, 1.0)
    share = np.where(low >= 0.0, 1.0, np.where(high <= 0.0, 0.0, high / steep))
    return float((share * np.diff(time_s)).sum())


def _length_to_peak(m: MeasuredStroke) -> float | None:
    position = m.position_m
    if position is None:
        return None
    to_peak = float(np.interp(m.peak_s, m.time_s, position) - position[0])
    return 100.0 * to_peak / m.length_m


def _plateau(m: MeasuredStroke) -> float:
    return 100.0 * time_above(m.time_s, m.calm_n, PLATEAU_SHARE * m.peak_n) / m.drive_s


TIME_TO_PEAK_PCT = MeasureSpec(
    key="time_to_peak_pct", title="Time to peak", short="to peak %", unit="%", digits=0,
    compute=lambda m: 100.0 * (m.peak_s - m.stroke.catch_s) / m.drive_s,
    meaning="Share of drive time until the peak.",
    definition="time from catch to the highest force, of drive time",
)  # fmt: skip
LENGTH_TO_PEAK_PCT = MeasureSpec(
    key="length_to_peak_pct", title="Length to peak", unit="%", digits=0,
    compute=_length_to_peak, needs=(FORCE, HANDLE),
    meaning="Share of drive length until the peak.",
    definition="handle travel from catch to that moment, of drive length",
)  # fmt: skip
RFD_N_PER_S = MeasureSpec(
    key="rfd_n_per_s", title="Rate of force development", short="rise N/s", unit="N/s", digits=0,
    compute=lambda m: steepest_rise(m.time_s, m.calm_n, m.peak_s),
    meaning="How fast force grows at its fastest, over 50 ms of the build-up.",
    definition=(
        "rate of force development: the largest slope over any 50 ms between catch and peak; over "
        "the first 50 ms where the build-up is shorter"
    ),
)  # fmt: skip
PLATEAU_PCT = MeasureSpec(
    key="plateau_pct", title="Plateau", short="plateau %", unit="%", digits=0,
    compute=_plateau,
    meaning="Share of drive time spent at 90 % of the peak or more.",
    definition="time at or above 90 % of the peak, of drive time",
)  # fmt: skip
