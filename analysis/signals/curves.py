"""Any signal on a 0-100 % axis of the stroke, its mean and spread, and the odd strokes out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from analysis.signals.along import CurveAxis, Part, instants
from analysis.signals.signal import FloatArray, Signal
from analysis.signals.stroke import Stroke

# A stroke further from the median curve than this many robust standard deviations of that
# distance is odd. 3.5 after Iglewicz & Hoaglin 1993, "How to Detect and Handle Outliers".
OUTLYING_Z = 3.5
# ... and it must also differ by this share of the curve's height: a steady rower's spread is tiny,
# and a stroke the eye cannot tell from the rest is not odd. Common practice, no source.
OUTLYING_SHARE = 0.08
# Below this many strokes there is no "rest" to be unlike.
FEWEST_TO_JUDGE = 4
# A curve of which less than this share is known is left out. Common practice, no source.
LEAST_KNOWN = 0.5
# Quantities whose zero is where somebody put it: their height is how far they reach.
NO_ZERO = frozenset(("m", "body lengths", "rad", "°", "deg", "°C", "s"))


@dataclass(frozen=True)
class CurveSet:
    """One signal over S strokes on one axis.

    Attributes
    ----------
    axis : what 0-100 % of the part means
    stroke_indices : (S,) which stroke each row is
    rows : (S, 101) float64, in the signal's unit, NaN where it is not known
    mean, sd : (101,) float64, over the strokes that are not outlying; NaN where none is known
    outlying : (S,) bool, strokes unlike the rest, left out of mean and spread
    typical : index of the stroke nearest the mean
    span : (S,) float64, the part's length on its axis (m for length, otherwise s)
    part : which part of the stroke, "drive", "recovery" or the whole "stroke"
    signal, unit : name and unit of the signal
    """

    axis: CurveAxis
    stroke_indices: tuple[int, ...]
    rows: FloatArray
    mean: FloatArray
    sd: FloatArray
    outlying: NDArray[np.bool_]
    typical: int
    span: FloatArray
    part: Part = "drive"
    signal: str = "force"
    unit: str = "N"

    @property
    def mean_span(self) -> float:
        """Mean time in seconds or mean length in metres of the strokes averaged."""
        return float(np.mean(self.span[~self.outlying]))


def signal_curve(
    signal: Signal,
    stroke: Stroke,
    axis: CurveAxis = "time",
    part: Part = "drive",
    handle: Signal | None = None,
) -> FloatArray | None:
    """Any signal at 0, 1 ... 100 % of a part of one stroke.

    Parameters
    ----------
    axis, part : see `along.instants`
    handle : position of the handle on the same clock; needed by length

    Returns
    -------
    (101,) in the signal's unit, NaN within holes of the signal or (by length) of the handle; None
    where the stroke has no such part or no such axis.

    Raises
    ------
    ValueError
        The signal or the handle is on another clock than the stroke.
    """
    _refuse_other_clocks(stroke, signal, handle)
    found = instants(stroke, axis, part, handle)
    return None if found is None else signal.at(found[0])


def drive_mean(signal: Signal, stroke: Stroke) -> float | None:
    """Time mean of a signal over a drive, in its unit.

    Over what is known of it; None where that is less than half.

    Raises
    ------
    ValueError
        As `signal_curve`.
    """
    curve = signal_curve(signal, stroke)
    if curve is None or np.isfinite(curve).mean() < LEAST_KNOWN:
        return None
    return float(np.nanmean(curve))


def _refuse_other_clocks(stroke: Stroke, *signals: Signal | None) -> None:
    for signal in signals:
        if signal is not None and signal.clock != stroke.clock:
            raise ValueError(
                f"“{signal.title}” is on the clock of the {signal.clock}, "
                f"the stroke on that of the {stroke.clock}."
            )


def curve_set(
    signal: Signal,
    strokes: Sequence[Stroke],
    axis: CurveAxis = "time",
    part: Part = "drive",
    handle: Signal | None = None,
) -> CurveSet | None:
    """Curves of all whole strokes with mean and spread; None when there is none to average.

    Left out are strokes with a remark, without the part or the axis asked for, and those of which
    less than half is known.

    Raises
    ------
    ValueError
        As `signal_curve`.
    """
    kept, at_s, span = [], [], []
    for stroke in strokes:
        _refuse_other_clocks(stroke, signal, handle)
        where = None if stroke.remark else instants(stroke, axis, part, handle)
        if where is not None:
            kept.append(stroke.index)
            at_s.append(where[0])
            span.append(where[1])
    if not kept:
        return None
    rows, spans, indices = signal.at(np.array(at_s)), np.array(span), np.array(kept)
    known = np.isfinite(rows).mean(axis=1) >= LEAST_KNOWN
    if not known.all():
        rows, spans, indices = rows[known], spans[known], indices[known]
    if len(rows) == 0:
        return None
    outlying = find_outlying(rows, spans, signal.unit)
    mean, sd = _mean_and_sd(rows[~outlying])
    apart = np.where(outlying, np.inf, _apart(rows, mean))
    typical = int(indices[int(np.argmin(apart))])
    stroke_indices = tuple(int(i) for i in indices)
    return CurveSet(
        axis, stroke_indices, rows, mean, sd, outlying, typical, spans, part, signal.name,
        signal.unit,
    )  # fmt: skip


def find_outlying(rows: FloatArray, span: FloatArray, unit: str = "N") -> NDArray[np.bool_]:
    """Tell the strokes unlike the rest by their curve or by the length of their part.

    Parameters
    ----------
    rows : (S, 101) NaN where not known
    span : (S,) s or m
    unit : of the rows; where zero is arbitrary (a position), a curve is as high as it reaches

    Returns
    -------
    (S,) bool; never more than half, for the rest is what a stroke is compared with.
    """
    if len(rows) < FEWEST_TO_JUDGE:
        return np.zeros(len(rows), dtype=np.bool_)
    middle = _median(rows)
    apart = _apart(rows, middle)
    height = np.nanmax(middle) - np.nanmin(middle) if unit in NO_ZERO else np.nanmax(abs(middle))
    odd_curve = (_robust_z(apart) > OUTLYING_Z) & (apart > OUTLYING_SHARE * height)
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


def _apart(rows: FloatArray, curve: FloatArray) -> FloatArray:
    """Root mean square distance of each row from a curve, where both are known: (S,)."""
    squares = (rows - curve) ** 2
    known = np.isfinite(squares)
    if known.all():
        plain: FloatArray = np.sqrt(squares.mean(axis=1))
        return plain
    count = known.sum(axis=1)
    total = np.where(known, squares, 0.0).sum(axis=1)
    apart: FloatArray = np.where(count > 0, np.sqrt(total / np.maximum(count, 1)), np.inf)
    return apart


def _median(rows: FloatArray) -> FloatArray:
    """Median at each place over the rows known there: (101,)."""
    if np.isfinite(rows).all():
        plain: FloatArray = np.median(rows, axis=0)
        return plain
    middle = np.full(rows.shape[1], np.nan)
    some = np.isfinite(rows).any(axis=0)
    middle[some] = np.nanmedian(rows[:, some], axis=0)
    return middle


def _mean_and_sd(rows: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Mean and sample standard deviation at each place over the rows known there: (101,) each."""
    known = np.isfinite(rows)
    if known.all():
        return rows.mean(axis=0), rows.std(axis=0, ddof=1 if len(rows) > 1 else 0)
    count = known.sum(axis=0)
    least = np.maximum(count, 1)
    mean = np.where(count > 0, np.where(known, rows, 0.0).sum(axis=0) / least, np.nan)
    squares = np.where(known, (rows - mean) ** 2, 0.0).sum(axis=0)
    sd = np.where(count > 0, np.sqrt(squares / np.maximum(count - 1, 1)), np.nan)
    return mean, sd
