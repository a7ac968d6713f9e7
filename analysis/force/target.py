"""The curve to row towards: its shape, its handles, its limits."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from analysis.force.curves import PERCENT, Axis
from analysis.signals.signal import FloatArray

Handle = Literal["start", "build_up_end", "plateau_end", "decline_end", "level"]

# A body cannot load or unload at once, and a target that asks for it teaches a jerk at the
# catch: build-up and decline take at least this share of the drive. Common practice, no source.
BUILD_UP_FLOOR_PCT = 12.0
DECLINE_FLOOR_PCT = 15.0
# Force may begin late and end early by this much and no more. Common practice, no source.
LATEST_START_PCT = 15.0
EARLIEST_END_PCT = 80.0
# Bounds of the level. The upper one is above the highest published peak handle force of squad
# men in all-out strokes, 1350 N (Hartmann et al. 1993, Int J Sports Med 14 Suppl 1).
LOWEST_LEVEL_N = 20.0
HIGHEST_LEVEL_N = 2000.0
# A half cosine of width w is at most pi / 2 / w steep: what the floors allow, freehand may too.
STEEPEST_RISE = float(np.pi / 2 / BUILD_UP_FLOOR_PCT)  # share of level per percent
STEEPEST_FALL = float(np.pi / 2 / DECLINE_FLOOR_PCT)
# A drive begins and ends at 5 % of its stroke's peak, so an athlete's own mean does too, or a
# little above, for its peak is lower than theirs: a target made from it may end there.
OWN_END_SHARE = 0.08
FREEHAND_STEP_PCT = 2  # points kept of a hand-drawn line
FREEHAND_SMOOTH_PCT = 3  # half width of the window that takes the shake out of it


@dataclass(frozen=True)
class TargetCurve:
    """A target curve over 0-100 % of the drive.

    The shape rises from nothing at `start_pct`, reaches `level_n` at `build_up_end_pct`, stays
    to `plateau_end_pct` and falls to nothing at `decline_end_pct`. A freehand curve replaces
    that shape by points; then `level_n` is its highest force. `hold_equal` keeps the work (by
    length) or the impulse (by time) equal to the athlete's own, so that the level follows.

    Attributes
    ----------
    freehand : pairs of (percent, fraction of level 0-1), ascending in percent, or empty
    """

    axis: Axis = "time"
    start_pct: float = 0.0
    build_up_end_pct: float = 35.0
    plateau_end_pct: float = 65.0
    decline_end_pct: float = 100.0
    level_n: float = 500.0
    hold_equal: bool = True
    freehand: tuple[tuple[float, float], ...] = ()
    name: str = ""


def steady_rowing(axis: Axis = "time") -> TargetCurve:
    """Give the preset for steady rowing. Its percentages are common practice, no source."""
    return TargetCurve(axis, 0.0, 35.0, 60.0, 100.0, name="steady rowing")


def racing(axis: Axis = "time") -> TargetCurve:
    """Give the preset for racing: softer catch, shorter plateau. Common practice, no source."""
    return TargetCurve(axis, 0.0, 42.0, 56.0, 100.0, name="racing")


def legal(target: TargetCurve) -> TargetCurve:
    """Bring the handles into order and keep the floors of build-up and decline.

    What is no finite number becomes the default. A legal target comes back unchanged.
    """
    plain = TargetCurve()
    start = _within(target.start_pct, 0.0, LATEST_START_PCT, plain.start_pct)
    end = _within(target.decline_end_pct, EARLIEST_END_PCT, 100.0, plain.decline_end_pct)
    built = _within(
        target.build_up_end_pct,
        start + BUILD_UP_FLOOR_PCT,
        end - DECLINE_FLOOR_PCT,
        plain.build_up_end_pct,
    )
    plateau = _within(target.plateau_end_pct, built, end - DECLINE_FLOOR_PCT, built)
    level = _within(target.level_n, LOWEST_LEVEL_N, HIGHEST_LEVEL_N, plain.level_n)
    return replace(
        target,
        start_pct=start,
        build_up_end_pct=built,
        plateau_end_pct=plateau,
        decline_end_pct=end,
        level_n=level,
    )


def _within(value: float, low: float, high: float, otherwise: float) -> float:
    if not np.isfinite(value):
        value = otherwise
    return float(min(max(value, low), high))


def target_shape(target: TargetCurve) -> FloatArray:
    """Give the target as a share of its level at 0, 1 ... 100 % of the drive: (101,), 0-1."""
    if target.freehand:
        pct, share = np.array(target.freehand, dtype=np.float64).T
        drawn = np.interp(PERCENT, pct, share, left=0.0, right=0.0)
        return soften(drawn, min(OWN_END_SHARE, max(float(drawn[0]), float(drawn[-1]), 0.0)))
    sound = legal(target)
    rise = _half_cosine((PERCENT - sound.start_pct) / (sound.build_up_end_pct - sound.start_pct))
    fall = _half_cosine(
        (sound.decline_end_pct - PERCENT) / (sound.decline_end_pct - sound.plateau_end_pct)
    )
    shape: FloatArray = np.minimum(rise, fall)
    return shape


def sample_target(target: TargetCurve) -> FloatArray:
    """Force of the target at 0, 1 ... 100 % of the drive: (101,) N.

    Rises and falls along half cosines, so that neither force nor its slope jumps. Handles
    outside their limits are brought inside first (`legal`).
    """
    level = target.level_n if np.isfinite(target.level_n) else TargetCurve().level_n
    force_n: FloatArray = max(level, 0.0) * target_shape(target)
    return force_n


def _half_cosine(share: FloatArray) -> FloatArray:
    ramp: FloatArray = 0.5 - 0.5 * np.cos(np.pi * np.clip(share, 0.0, 1.0))
    return ramp


def move_handle(target: TargetCurve, handle: Handle, percent: float, force_n: float) -> TargetCurve:
    """Drag one of the five handles; the others stay and the one dragged stops at its limit.

    Parameters
    ----------
    percent, force_n : where the pointer is; the level takes the force, the others the percent.
        Dragging the level lets go of `hold_equal`: the coach has named a level.
    """
    if target.freehand and handle != "level":
        target = replace(target, freehand=())
    target = legal(target)
    if handle == "level":
        level = _within(force_n, LOWEST_LEVEL_N, HIGHEST_LEVEL_N, target.level_n)
        return replace(target, level_n=level, hold_equal=False)
    start, built = target.start_pct, target.build_up_end_pct
    plateau, end = target.plateau_end_pct, target.decline_end_pct
    limits: dict[str, tuple[str, float, float]] = {
        "start": ("start_pct", 0.0, min(LATEST_START_PCT, built - BUILD_UP_FLOOR_PCT)),
        "build_up_end": ("build_up_end_pct", start + BUILD_UP_FLOOR_PCT, plateau),
        "plateau_end": ("plateau_end_pct", built, end - DECLINE_FLOOR_PCT),
        "decline_end": (
            "decline_end_pct",
            max(EARLIEST_END_PCT, plateau + DECLINE_FLOOR_PCT),
            100.0,
        ),
    }
    name, low, high = limits[handle]
    here = float(getattr(target, name))
    return replace(target, **{name: _within(percent, low, high, here)})  # type: ignore[arg-type]


def draw_freehand(target: TargetCurve, points_pct_n: FloatArray) -> TargetCurve:
    """Take a hand-drawn line as the target: cleaned, and never steeper than the floors allow.

    Parameters
    ----------
    points_pct_n : (P, 2) percent of the drive and N, in the order drawn. A line that runs back
        over itself counts where it was drawn last; P < 2 usable points leave the target as it is.
    """
    line = drawn_line(points_pct_n)
    if line is None:
        return target
    drawn = np.interp(PERCENT, *line, left=0.0, right=0.0)
    if drawn.max() < LOWEST_LEVEL_N:
        return target
    kernel = np.hanning(2 * FREEHAND_SMOOTH_PCT + 1)
    smooth = np.convolve(drawn, kernel / kernel.sum(), mode="same")
    knots = PERCENT[::FREEHAND_STEP_PCT]
    shares = soften(smooth / smooth.max())[::FREEHAND_STEP_PCT]
    shares = shares / shares.max()
    pairs = tuple((float(p), float(s)) for p, s in zip(knots, shares, strict=True))
    level = _within(float(smooth.max()), LOWEST_LEVEL_N, HIGHEST_LEVEL_N, target.level_n)
    return replace(target, freehand=pairs, level_n=level)


def drawn_line(points_pct_n: FloatArray) -> tuple[FloatArray, FloatArray] | None:
    """Clean a hand-drawn line: percent ascending and N, each (K,); None below two usable points.

    Parameters
    ----------
    points_pct_n : as in `draw_freehand`
    """
    points = np.asarray(points_pct_n, dtype=np.float64).reshape(-1, 2)
    points = points[np.isfinite(points).all(axis=1)]
    pct = np.clip(points[:, 0], 0.0, 100.0)
    # The last of several forces drawn over one percent is the one the coach meant.
    latest = dict(zip(np.round(pct, 1), np.clip(points[:, 1], 0.0, HIGHEST_LEVEL_N), strict=True))
    if len(latest) < 2:
        return None
    where = np.array(sorted(latest))
    return where, np.array([latest[p] for p in where])


def within_levels(level_n: float) -> float:
    """Bring a level within the bounds of a target's level, N."""
    return _within(level_n, LOWEST_LEVEL_N, HIGHEST_LEVEL_N, TargetCurve().level_n)


def soften(shape: FloatArray, end_share: float = 0.0) -> FloatArray:
    """Limit the slopes of a shape, keep its highest point at 1, end it at nothing: (101,).

    Widens what is too steep instead of lowering it, so that the level stays the highest force.
    A peak too near an end of the drive is moved inwards: a few rounds settle where.

    Parameters
    ----------
    end_share : the most that is left at both ends, share of the highest point
    """
    soft = np.clip(np.nan_to_num(shape), 0.0, 1.0)
    ends = end_share + np.minimum(STEEPEST_RISE * PERCENT, STEEPEST_FALL * (100.0 - PERCENT))
    for _ in range(40):
        if soft.max() <= 0.0:
            return soft
        soft = soft / soft.max()
        for i in range(1, len(soft)):
            soft[i] = max(soft[i], soft[i - 1] - STEEPEST_FALL)
        for i in range(len(soft) - 2, -1, -1):
            soft[i] = max(soft[i], soft[i + 1] - STEEPEST_RISE)
        soft = np.minimum(soft, ends)
        if soft.max() > 0.9999:
            break
    return np.asarray(soft, dtype=np.float64)


def hold_level(target: TargetCurve, curve_n: FloatArray) -> TargetCurve:
    """Set the level so that the target's area equals the athlete's mean curve.

    Over equal drive time that is equal impulse, over equal drive length equal work. Does
    nothing where `hold_equal` is off or the athlete's curve has no area.

    Parameters
    ----------
    curve_n : (101,) N, the athlete's mean curve on the target's axis
    """
    area = float(np.trapezoid(target_shape(target), PERCENT))
    theirs = float(np.trapezoid(curve_n, PERCENT))
    if not target.hold_equal or area <= 0.0 or not np.isfinite(theirs) or theirs <= 0.0:
        return target
    return replace(target, level_n=theirs / area)


@dataclass(frozen=True)
class TargetMeasures:
    """What a curve over the drive asks for.

    Attributes
    ----------
    peak_n : N
    rfd_n_per_s : N/s, largest slope over any 50 ms of the build-up; None on a length axis,
        where a slope over time needs the handle's speed
    plateau_pct : percent of the axis at or above 90 % of the peak
    mean_to_peak : mean over the axis divided by peak
    area : impulse in N s on a time axis, work in J on a length axis; None without a span
    """

    peak_n: float
    rfd_n_per_s: float | None
    plateau_pct: float
    mean_to_peak: float
    area: float | None


@dataclass(frozen=True)
class TargetComparison:
    """The athlete's own curve and the target, measured alike."""

    axis: Axis
    now: TargetMeasures
    target: TargetMeasures

    @property
    def area_ratio(self) -> float | None:
        """Work (by length) or impulse (by time) of the target over the athlete's own."""
        if self.now.area is None or self.target.area is None or self.now.area <= 0.0:
            return None
        return self.target.area / self.now.area


def target_measures(curve_n: FloatArray, axis: Axis, span: float | None) -> TargetMeasures:
    """Measure a curve over 0-100 % of the drive.

    Parameters
    ----------
    curve_n : (101,) N
    span : what 100 % is: drive time in s for a time axis, drive length in m for a length axis
    """
    from analysis.measures.curve_shape import PLATEAU_SHARE, steepest_rise, time_above

    peak_n = float(curve_n.max())
    mean_n = float(np.trapezoid(curve_n, PERCENT)) / 100.0
    rfd = None
    if axis == "time" and span:
        time_s = PERCENT / 100.0 * span
        rfd = steepest_rise(time_s, curve_n, float(time_s[int(curve_n.argmax())]))
    return TargetMeasures(
        peak_n=peak_n,
        rfd_n_per_s=rfd,
        plateau_pct=time_above(PERCENT, curve_n, PLATEAU_SHARE * peak_n) if peak_n > 0.0 else 0.0,
        mean_to_peak=mean_n / peak_n if peak_n > 0.0 else 0.0,
        area=mean_n * span if span else None,
    )


def compare_target(
    target: TargetCurve, curve_n: FloatArray, span: float | None
) -> TargetComparison:
    """Measure the athlete's mean curve and the target alike, to show what would change.

    Parameters
    ----------
    curve_n : (101,) N, the athlete's mean curve on the target's axis
    span : the athlete's mean drive time in s or drive length in m (`CurveSet.mean_span`)
    """
    now = target_measures(curve_n, target.axis, span)
    return TargetComparison(
        target.axis, now, target_measures(sample_target(target), target.axis, span)
    )
