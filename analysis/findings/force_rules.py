"""Rules on the shape of the force curve, one a function."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from analysis.findings.curve_shape import (
    count_stairs,
    deepest_dip,
    first_above,
    last_above,
    mean_between,
    middle_of,
    width_above,
)
from analysis.findings.finding import Effect
from analysis.findings.raised import Raised, over_shown
from analysis.findings.shapes import PCT, Shapes
from analysis.findings.thresholds import Thresholds
from analysis.signals.signal import FloatArray

Rule = Callable[[Shapes, Thresholds], Raised]
FIFTH_PCT = 20.0
HALF_SINE_MEAN = 2.0 / np.pi  # mean over peak of a half sine, exact
FALLEN = 0.75
RISEN = 0.7


def _moment(shapes: Shapes, percent: FloatArray | float) -> FloatArray:
    """Trace seconds at a percent of each drive: (S,)."""
    catch = np.array([s.catch_s for s in shapes.strokes])
    at: FloatArray = catch + np.nan_to_num(percent, nan=50.0) / 100.0 * shapes.drive_s
    return at


def _all(shapes: Shapes, value: float) -> FloatArray:
    return np.full(shapes.count, value)


def _impulse_of(shapes: Shapes, area_pct: FloatArray) -> FloatArray:
    """N s of an area in shares of the peak times percent of the drive: (S,)."""
    impulse: FloatArray = area_pct / 100.0 * shapes.peak_n * shapes.drive_s
    return impulse


def hard_catch(shapes: Shapes, t: Thresholds) -> Raised:
    """Too much force before the flywheel moves."""
    values = 100.0 * mean_between(shapes.curves, 0.0, FIFTH_PCT)
    limit = t["hard-catch.first-fifth"]
    shows = (values > limit) & (first_above(shapes.curves, RISEN) < t["hard-catch.risen"])
    # What the first fifth holds above a soft build-up is what the middle could have had.
    extra = _impulse_of(shapes, (values - t["soft-catch.first-fifth"]) / 100.0 * FIFTH_PCT)
    return Raised(
        "hard-catch",
        "mean force over the first fifth of the drive",
        "% of peak",
        shows,
        values,
        limit,
        t["hard-catch.strong"],
        _all(shapes, 0.0),
        _all(shapes, FIFTH_PCT),
        _moment(shapes, 5.0),
        Effect(over_shown(extra, shows), "N s", "impulse spent before the flywheel moves"),
    )


def give(shapes: Shapes, t: Thresholds) -> Raised:
    """Force drops on the way and rises again."""
    dips = [deepest_dip(curve, 4.0, t["give.latest"]) for curve in shapes.curves]
    values = 100.0 * np.array([d.depth for d in dips])
    limit = max(t["give.depth"], 100.0 * t["noise-times"] * shapes.noise)
    # Stairs may sag a little before the next one; that is no yielding of its own.
    doubtful = (values > limit) & (values <= 2.0 * limit)
    stepped = _stairs(shapes, t, doubtful) >= t["stepped-build-up.stairs"]
    shows = (values > limit) & ~(doubtful & stepped)
    lost = _impulse_of(shapes, np.array([d.area_pct for d in dips]))
    bottom = np.array([d.bottom_pct for d in dips])
    return Raised(
        "give",
        "drop of the force before it rises again",
        "% of peak",
        shows,
        values,
        limit,
        t["give.strong"],
        np.array([d.left_pct for d in dips]),
        np.array([d.right_pct for d in dips]),
        _moment(shapes, bottom),
        Effect(over_shown(lost, shows), "N s", "impulse lost"),
    )


def _stairs(shapes: Shapes, t: Thresholds, asked: NDArray[np.bool_]) -> FloatArray:
    """Stairs on the way up of the strokes asked for, 1 for the others: (S,)."""
    tread, riser = t["stepped-build-up.tread"], t["stepped-build-up.riser"]
    stairs = np.ones(shapes.count)
    for i in np.flatnonzero(asked):
        stairs[i] = count_stairs(shapes.curves[i], shapes.noise, tread, riser)
    return stairs


def stepped_build_up(shapes: Shapes, t: Thresholds) -> Raised:
    """Three or more stairs on the way up."""
    values = _stairs(shapes, t, np.ones(shapes.count, dtype=np.bool_))
    limit = t["stepped-build-up.stairs"]
    shows = values >= limit
    ends = first_above(shapes.curves, 0.95)
    lost = _impulse_of(shapes, _below_line(shapes.curves))
    return Raised(
        "stepped-build-up",
        "stairs on the way up",
        "stairs",
        shows,
        values,
        limit,
        t["stepped-build-up.strong"],
        first_above(shapes.curves, 0.12),
        ends,
        _moment(shapes, 0.5 * ends),
        Effect(over_shown(lost, shows), "N s", "impulse lost"),
    )


def _below_line(curves: FloatArray) -> FloatArray:
    """Area below the straight line from 12 % to 95 % of the peak, share times percent: (S,)."""
    area = np.zeros(len(curves))
    for i, curve in enumerate(curves):
        begin, end = int((curve >= 0.12).argmax()), int((curve >= 0.95).argmax())
        if end > begin:
            line = np.interp(PCT[begin : end + 1], PCT[[begin, end]], curve[[begin, end]])
            gap = np.maximum(line - curve[begin : end + 1], 0.0)
            area[i] = np.trapezoid(gap, PCT[begin : end + 1])
    return area


def peaky(shapes: Shapes, t: Thresholds) -> Raised:
    """A narrow hump: little plateau and a low mean for its peak."""
    values = shapes.mean_to_peak
    plateau = width_above(shapes.curves, 0.9)
    limit = t["peaky.mean-to-peak"]
    shows = (values < limit) & (plateau < t["peaky.plateau"])
    # Peak above that of a half sine of the same impulse.
    extra = shapes.peak_n * (1.0 - values / HALF_SINE_MEAN)
    top = first_above(shapes.curves, 0.9)
    return Raised(
        "peaky",
        "mean force over peak force",
        "",
        shows,
        values,
        limit,
        t["peaky.strong"],
        top,
        last_above(shapes.curves, 0.9),
        _moment(shapes, PCT[shapes.curves.argmax(axis=1)]),
        Effect(over_shown(extra, shows), "N", "peak force added for the same impulse"),
    )


def early_loss(shapes: Shapes, t: Thresholds) -> Raised:
    """Force falls away well before the hands arrive."""
    values = last_above(shapes.curves, FALLEN)
    limit = t["early-loss.falls"]
    # A hump as steep before as behind is narrow, not lost early.
    lopsided = (100.0 - values) / np.maximum(first_above(shapes.curves, FALLEN), 1.0)
    # An empty finish stretches the drive; the loss must show in its loaded part too.
    loaded = last_above(shapes.curves, t["empty-finish.force"] / 100.0)
    early = (values < limit) & (100.0 * values / loaded < t["early-loss.loaded"])
    # An early peak alone is none: a half sine loses a quarter at one share of its decline always.
    top = 0.5 * (first_above(shapes.curves, 0.9) + last_above(shapes.curves, 0.9))
    held = 100.0 * (values - top) / np.maximum(loaded - top, 1.0)
    lost = (held < t["early-loss.held"]) | (values < t["early-loss.surely"])
    shows = early & lost & (lopsided > t["early-loss.lopsided"])
    # Lost is what is missing to a fall that begins where force still stood and ends at the finish.
    missing = _impulse_of(shapes, _missing_fall(shapes.curves, values))
    return Raised(
        "early-loss",
        "place where force falls below three quarters of its peak",
        "% of drive",
        shows,
        values,
        limit,
        t["early-loss.strong"],
        values,
        _all(shapes, 95.0),
        _moment(shapes, values),
        Effect(over_shown(missing, shows), "N s", "impulse lost"),
    )


def _missing_fall(curves: FloatArray, fallen_pct: FloatArray) -> FloatArray:
    """Area between each curve and a half sine's fall, behind where it fell: share times percent."""
    sine = np.sin(np.pi * PCT / 100.0)
    behind = fallen_pct[:, None] <= PCT
    missing: FloatArray = np.trapezoid(
        np.where(behind, np.maximum(sine - curves, 0.0), 0.0), PCT, axis=1
    )
    return missing


def late_peak(shapes: Shapes, t: Thresholds) -> Raised:
    """The most force comes in the second half."""
    values = 0.5 * (first_above(shapes.curves, 0.9) + last_above(shapes.curves, 0.9))
    limit = t["late-peak.middle"]
    # A dip before the top moves the top, not the weight of the whole drive.
    shows = (values > limit) & (middle_of(shapes.curves) > t["late-peak.balance"])
    return Raised(
        "late-peak",
        "middle of the time above nine tenths of the peak",
        "% of drive",
        shows,
        values,
        limit,
        t["late-peak.strong"],
        first_above(shapes.curves, 0.9),
        last_above(shapes.curves, 0.9),
        _moment(shapes, values),
    )


def empty_finish(shapes: Shapes, t: Thresholds) -> Raised:
    """The handle still travels, the force is gone."""
    force = t["empty-finish.force"] / 100.0
    gone = last_above(shapes.curves, force)
    values = 100.0 - gone
    limit = t["empty-finish.tail"]
    shows = values > limit
    return Raised(
        "empty-finish",
        "end of the drive with hardly any force",
        "% of drive",
        shows,
        values,
        limit,
        t["empty-finish.strong"],
        gone,
        _all(shapes, 100.0),
        _moment(shapes, gone),
        Effect(
            over_shown(_impulse_of(shapes, values * (0.5 * FALLEN)), shows), "N s", "impulse lost"
        ),
    )


def finish_snatch(shapes: Shapes, t: Thresholds) -> Raised:
    """Force rises again at the finish."""
    dips = [deepest_dip(curve, t["finish-snatch.from"], 99.0) for curve in shapes.curves]
    values = 100.0 * np.array([d.depth for d in dips])
    limit = max(t["finish-snatch.rise"], 100.0 * t["noise-times"] * shapes.noise)
    shows = values > limit
    return Raised(
        "finish-snatch",
        "rise of the force at the end",
        "% of peak",
        shows,
        values,
        limit,
        t["finish-snatch.strong"],
        np.array([d.bottom_pct for d in dips]),
        np.minimum(100.0, np.array([d.right_pct for d in dips]) + 5.0),
        _moment(shapes, np.array([d.right_pct for d in dips])),
        Effect(over_shown(values / 100.0 * shapes.peak_n, shows), "N", "force added by the snatch"),
    )


CURVE_RULES: tuple[Rule, ...] = (
    hard_catch,
    give,
    stepped_build_up,
    peaky,
    early_loss,
    late_peak,
    empty_finish,
    finish_snatch,
)
