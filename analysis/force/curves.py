"""Force curves on a 0-100 % drive axis, their mean and spread, and the odd ones out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from analysis.force.strokes import Stroke
from analysis.force.trace import FloatArray, ForceTrace

Axis = Literal["time", "length"]
PERCENT: FloatArray = np.linspace(0.0, 100.0, 101)

# A stroke further from the median curve than this many robust standard deviations of that
# distance is odd. 3.5 after Iglewicz & Hoaglin 1993, "How to Detect and Handle Outliers".
OUTLYING_Z = 3.5
# ... and it must also differ by this share of the peak: a steady rower's spread is tiny, and a
# stroke the eye cannot tell from the rest is not odd. Common practice, no source.
OUTLYING_SHARE = 0.08
# Below this many strokes there is no "rest" to be unlike.
FEWEST_TO_JUDGE = 4
# The handle may step back this share of the drive length (noise) and the length axis holds.
# Common practice, no source.
LARGEST_STEP_BACK = 0.05


@dataclass(frozen=True)
class CurveSet:
    """Force curves of S strokes on one axis.

    Attributes
    ----------
    axis : "time" or "length", what 0-100 % of the drive means
    stroke_indices : (S,) which stroke each row is
    force_n : (S, 101) float64, N
    mean_n, sd_n : (101,) float64, N, over the strokes that are not outlying
    outlying : (S,) bool, strokes unlike the rest, left out of mean and spread
    typical : index of the stroke nearest the mean
    span : (S,) float64, the drive's length on its axis (s for time, m for length)
    """

    axis: Axis
    stroke_indices: tuple[int, ...]
    force_n: FloatArray
    mean_n: FloatArray
    sd_n: FloatArray
    outlying: NDArray[np.bool_]
    typical: int
    span: FloatArray

    @property
    def mean_span(self) -> float:
        """Mean drive time in seconds or drive length in metres of the strokes averaged."""
        return float(np.mean(self.span[~self.outlying]))


def stroke_curve(trace: ForceTrace, stroke: Stroke, axis: Axis = "time") -> FloatArray:
    """Force of one drive at 0, 1 ... 100 % of the drive: (101,) N.

    Raises
    ------
    ValueError
        The length axis was asked for and `drive_axis` gives none.
    """
    along = drive_axis(trace, stroke, axis)
    if along is None:
        raise ValueError("This stroke has no handle position to draw its force over.")
    time_s, where = along
    at_s = np.interp(PERCENT / 100.0 * where[-1], where, time_s)
    curve: FloatArray = np.interp(at_s, trace.time_s, trace.force_n)
    return curve


def drive_axis(
    trace: ForceTrace, stroke: Stroke, axis: Axis
) -> tuple[FloatArray, FloatArray] | None:
    """Instants of a drive and how far along its axis each is.

    Returns
    -------
    (n,) s and (n,) s or m from the catch, never falling; or None for a length axis without
    position, without travel, or where the handle runs back by more than noise.
    """
    if axis == "time":
        ends = np.array([stroke.catch_s, stroke.finish_s])
        return ends, ends - stroke.catch_s
    if trace.position_m is None or stroke.finish_s <= stroke.catch_s:
        return None
    first, last = np.searchsorted(trace.time_s, [stroke.catch_s, stroke.finish_s])
    inner = trace.time_s[first:last]
    time_s = np.unique(np.concatenate(([stroke.catch_s], inner, [stroke.finish_s])))
    travel = np.interp(time_s, trace.time_s, trace.position_m)
    travel = travel - travel[0]
    highest = np.maximum.accumulate(travel)
    length = float(highest[-1])
    if length <= 0.0 or float((highest - travel).max()) > LARGEST_STEP_BACK * length:
        return None
    # np.interp needs a rising axis: flat spots get a slope of no size.
    return time_s, highest + np.linspace(0.0, 1e-9 * length, len(highest))


def curve_set(trace: ForceTrace, strokes: Sequence[Stroke], axis: Axis = "time") -> CurveSet | None:
    """Curves of all whole strokes with mean and spread; None when there is none to average.

    Strokes with a remark are left out. A length axis needs position in at least one stroke.
    """
    kept, rows, span = [], [], []
    for stroke in strokes:
        along = None if stroke.remark else drive_axis(trace, stroke, axis)
        if along is None:
            continue
        kept.append(stroke.index)
        rows.append(stroke_curve(trace, stroke, axis))
        span.append(along[1][-1])
    if not rows:
        return None
    force_n = np.array(rows)
    spans = np.array(span)
    outlying = find_outlying(force_n, spans)
    mean_n = force_n[~outlying].mean(axis=0)
    sd_n = force_n[~outlying].std(axis=0, ddof=1 if (~outlying).sum() > 1 else 0)
    apart = np.where(outlying, np.inf, np.sqrt(((force_n - mean_n) ** 2).mean(axis=1)))
    typical = kept[int(np.argmin(apart))]
    return CurveSet(axis, tuple(kept), force_n, mean_n, sd_n, outlying, typical, spans)


def find_outlying(force_n: FloatArray, span: FloatArray) -> NDArray[np.bool_]:
    """Tell the strokes unlike the rest by their curve or by the length of their drive.

    Parameters
    ----------
    force_n : (S, 101) N
    span : (S,) s or m

    Returns
    -------
    (S,) bool; never more than half, for the rest is what a stroke is compared with.
    """
    if len(force_n) < FEWEST_TO_JUDGE:
        return np.zeros(len(force_n), dtype=np.bool_)
    middle = np.median(force_n, axis=0)
    apart = np.sqrt(((force_n - middle) ** 2).mean(axis=1))
    odd_curve = (_robust_z(apart) > OUTLYING_Z) & (apart > OUTLYING_SHARE * middle.max())
    off = np.abs(span - np.median(span))
    odd_span = (np.abs(_robust_z(span)) > OUTLYING_Z) & (off > OUTLYING_SHARE * np.median(span))
    odd: NDArray[np.bool_] = odd_curve | odd_span
    return odd if odd.mean() <= 0.5 else np.zeros(len(odd), dtype=np.bool_)


def _robust_z(values: FloatArray) -> FloatArray:
    """Distance from the median in robust standard deviations (MAD times 1.4826): (S,)."""
    off = values - np.median(values)
    mad = float(np.median(np.abs(off))) * 1.4826
    z: FloatArray = off / mad if mad > 0.0 else np.where(off == 0.0, 0.0, np.copysign(np.inf, off))
    return z
