"""The measures of one stroke. Definitions, units and sources: docs/measures.md."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from analysis.force.curves import drive_axis
from analysis.force.strokes import Stroke
from analysis.force.trace import FloatArray, ForceTrace

RFD_WINDOW_S = 0.05
PLATEAU_SHARE = 0.9
# Noise beyond this share of the peak lifts a highest sample by 1 % or more. Common practice,
# no source.
NOISE_SHARE = 0.005
# Window of the smoothing: the noisier the wider, up to where a give of 0.1 s still keeps its
# depth. Common practice, no source.
SMOOTH_S = (0.06, 0.15)
WIDEST_FROM = 0.02  # noise, as a share of the peak, from which the window is widest


@dataclass(frozen=True)
class Measures:
    """Measures of one stroke in SI units; None where not measurable."""

    drive_s: float | None = None
    recovery_s: float | None = None
    rhythm: float | None = None  # recovery time divided by drive time
    rate_spm: float | None = None
    peak_n: float | None = None
    mean_n: float | None = None  # time mean over the drive
    impulse_ns: float | None = None
    mean_to_peak: float | None = None
    time_to_peak_pct: float | None = None  # percent of drive time
    length_to_peak_pct: float | None = None  # percent of drive length
    rfd_n_per_s: float | None = None  # largest slope over any 50 ms of the build-up
    plateau_pct: float | None = None  # percent of drive time at or above 90 % of peak
    length_m: float | None = None
    work_j: float | None = None


def measure_stroke(trace: ForceTrace, stroke: Stroke) -> Measures:
    """Measure one stroke on the samples as recorded, straight lines between them.

    Peak, its time, rate of force development and plateau hang on single samples: under noise
    beyond `NOISE_SHARE` of the peak they are taken on smoothed force (`calm_drive`).

    Parameters
    ----------
    trace : N samples
    stroke : with `finish_s` after `catch_s`; anything else has no measures
    """
    drive_s = stroke.finish_s - stroke.catch_s
    if not drive_s > 0.0:
        return Measures()
    time_s, force_n = drive_samples(trace, stroke)
    calm_n = calm_drive(trace, time_s, force_n)
    peak_n = float(calm_n.max())
    impulse_ns = float(np.trapezoid(force_n, time_s))
    mean_n = impulse_ns / drive_s
    peak_s = float(time_s[int(calm_n.argmax())])
    recovery_s = rate_spm = None
    if stroke.next_catch_s is not None and stroke.next_catch_s > stroke.finish_s:
        recovery_s = stroke.next_catch_s - stroke.finish_s
        rate_spm = 60.0 / (stroke.next_catch_s - stroke.catch_s)
    length_m, work_j, length_to_peak_pct = _over_length(trace, stroke, time_s, force_n, peak_s)
    return Measures(
        drive_s=drive_s,
        recovery_s=recovery_s,
        rhythm=None if recovery_s is None else recovery_s / drive_s,
        rate_spm=rate_spm,
        peak_n=peak_n,
        mean_n=mean_n,
        impulse_ns=impulse_ns,
        mean_to_peak=mean_n / peak_n if peak_n > 0.0 else None,
        time_to_peak_pct=100.0 * (peak_s - stroke.catch_s) / drive_s,
        length_to_peak_pct=length_to_peak_pct,
        rfd_n_per_s=steepest_rise(time_s, calm_n, peak_s),
        plateau_pct=100.0 * time_above(time_s, calm_n, PLATEAU_SHARE * peak_n) / drive_s,
        length_m=length_m,
        work_j=work_j,
    )


def measure_all(trace: ForceTrace, strokes: Sequence[Stroke]) -> tuple[Measures, ...]:
    """Measures of each stroke, in the order given, those with a remark included."""
    return tuple(measure_stroke(trace, stroke) for stroke in strokes)


def drive_samples(trace: ForceTrace, stroke: Stroke) -> tuple[FloatArray, FloatArray]:
    """Samples of a drive with its two ends interpolated: (n,) s and (n,) N, n >= 2."""
    ends = np.array([stroke.catch_s, stroke.finish_s])
    first = int(np.searchsorted(trace.time_s, stroke.catch_s, side="right"))
    last = int(np.searchsorted(trace.time_s, stroke.finish_s, side="left"))
    around = slice(max(0, first - 1), last + 1)
    at_ends = np.interp(ends, trace.time_s[around], trace.force_n[around])
    time_s = np.concatenate((ends[:1], trace.time_s[first:last], ends[1:]))
    force_n = np.concatenate((at_ends[:1], trace.force_n[first:last], at_ends[1:]))
    return time_s, force_n


def noise_of(force_n: FloatArray) -> float:
    """Standard deviation of the noise on some evenly spaced samples, N.

    From the fourth differences, in which a force curve all but vanishes; those of white noise
    have a variance 70 times its own (1 + 16 + 36 + 16 + 1).
    """
    if len(force_n) < 12:
        return 0.0
    rough = np.diff(force_n, 4)
    return 1.4826 * float(np.median(np.abs(rough))) / 70.0**0.5


def calm_drive(trace: ForceTrace, time_s: FloatArray, force_n: FloatArray) -> FloatArray:
    """Force of a drive without its noise, (n,) N; as given where it is quiet.

    A cubic through each 0.06-0.15 s on an even clock (Savitzky & Golay 1964, Anal Chem
    36:1627-1639).

    Parameters
    ----------
    time_s, force_n : (n,) the drive with its ends, as `drive_samples` gives it
    """
    inner = force_n[1:-1]
    noise = noise_of(inner) / max(float(force_n.max()), 1e-9)
    if noise <= NOISE_SHARE:
        return force_n
    from scipy.signal import savgol_filter

    step_s = float(np.median(np.diff(time_s[1:-1])))
    window_s = float(np.clip(SMOOTH_S[1] * noise / WIDEST_FROM, *SMOOTH_S))
    width = 2 * round(0.5 * window_s / step_s) + 1
    even_s = np.arange(time_s[0] - window_s, time_s[-1] + window_s, step_s)
    if width < 5 or len(even_s) < width:
        return force_n
    first, last = np.searchsorted(trace.time_s, [even_s[0], even_s[-1]])
    around = slice(max(0, int(first) - 1), int(last) + 1)
    even_n = np.interp(even_s, trace.time_s[around], trace.force_n[around])
    smooth: FloatArray = np.interp(time_s, even_s, savgol_filter(even_n, width, 3))
    return smooth


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


def _over_length(
    trace: ForceTrace, stroke: Stroke, time_s: FloatArray, force_n: FloatArray, peak_s: float
) -> tuple[float | None, float | None, float | None]:
    """Drive length in m, work in J, and percent of the length at which force peaks."""
    along = drive_axis(trace, stroke, "length")
    if along is None or trace.position_m is None:
        return None, None, None
    position = np.interp(time_s, trace.time_s, trace.position_m)
    length_m = float(position[-1] - position[0])
    if length_m <= 0.0:
        return None, None, None
    work_j = float(np.trapezoid(force_n, position))
    to_peak = float(np.interp(peak_s, time_s, position) - position[0])
    return length_m, work_j, 100.0 * to_peak / length_m
