"""How the estimate of the load on the low back runs over a piece, and how sure that is.

A camera that creeps looks like an athlete who changes, so levers are taken between points of the
same frame where the picture tells the hip, and what creep could do is part of the interval where it
does not. Jitter lifts every highest value, so the load is read at one place of the drive, the same
in all strokes.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from analysis.body.angles import METRES, BodySeries
from analysis.body.back_load import (
    BALANCE_SHARE,
    HIP_TO_SHOULDER,
    JOINT_SHARE,
    LABEL,
    LIMITS,
    MASS_ABOVE,
    Athlete,
    load_over_time,
)
from analysis.clocks.alignment import Alignment
from analysis.force.piece import PieceAnalysis
from analysis.signals.signal import FloatArray
from analysis.statistics import Trend, trend

POINTS = 61  # of a drive
# What no interval here can know of; measured on simulated pieces, docs/body.md.
OF_TREND = (
    "A camera that was zoomed, or an athlete who came nearer, by 3 % over the piece reads as a "
    "rise of 2.8 %, and a followed point of the hand that slides 3 cm off as one of 9 %, "
    "called sure; look at the points and the picture's scale before believing a trend."
)
# The load is averaged over so much of the drive about its highest place: common practice.
AROUND = 0.06
# What a camera on a stand or in a hand creeps over a piece, standard deviation: common practice, no
# source. Half a degree of roll is what a hand adds.
CREEP_M = 0.02
ROLL_RAD = float(np.radians(0.5))
# Accelerations are taken of slower series: those of the trunk swing with the stroke, and second
# slopes are mostly jitter beyond. Common practice, no source.
SWING_HZ = 2.5
# About its own middle; trunk with head and arms, hip to shoulder as length: 0.496 from Winter 1990.
GYRATION_SHARE = 0.496


@dataclass(frozen=True)
class BackTrend:
    """How the estimate runs over a piece.

    Attributes
    ----------
    strokes : (S,) indices
    moment_nm, compression_n, shear_n : (S,) of each drive, about where the load is usually highest
    relative : (S,) compression as a share of the median of the first third of this piece
    change : trend of the compression, or None with fewer than 5 strokes; its interval holds what
        creep of the camera and the accelerations that are left out could do
    at_percent : place of the drive it is read at
    inertia_nm : (S,) moment of the trunk's acceleration there, NaN where it cannot be told
    creep, inertia : shares of the first value by which either could change the trend, as standard
        deviations; part of `change`
    limits : what this is not, one sentence each; to be shown with every figure
    """

    strokes: tuple[int, ...]
    moment_nm: FloatArray
    compression_n: FloatArray
    shear_n: FloatArray
    relative: FloatArray
    change: Trend | None
    at_percent: float
    inertia_nm: FloatArray
    creep: float
    inertia: float
    label: str = LABEL
    limits: tuple[str, ...] = (LIMITS[0], OF_TREND, *LIMITS[1:])

    @property
    def is_sure(self) -> bool:
        """Whether the load surely rises or falls."""
        return self.change is not None and not self.change.low <= 0.0 <= self.change.high


@dataclass(frozen=True, eq=False)
class _Drives:
    """Posture and pull over S drives: (S, POINTS) each, lengths in metres."""

    indices: tuple[int, ...]
    lean_rad: FloatArray
    handle_m: FloatArray
    hip_m: FloatArray | None
    pull_n: FloatArray
    inertia_nm: FloatArray

    def load(self, athlete: Athlete) -> tuple[FloatArray, FloatArray, FloatArray]:
        """Moment, compression and shear: (S, POINTS) each."""
        load = load_over_time(athlete, self.lean_rad, self.handle_m, self.pull_n, self.hip_m)
        return load.moment_nm, load.compression_n, load.shear_n


def back_trend(
    piece: PieceAnalysis, body: BodySeries, alignment: Alignment, athlete: Athlete
) -> BackTrend | None:
    """Estimate each whole drive's load; None where posture and force never meet.

    There is no line to pass or fail, on purpose: published peaks of healthy rowers differ more
    between models than between people.

    Parameters
    ----------
    body : with the height of the hip where it comes from points, so that levers are taken within
        each frame; followed over fixed points, so that it is level
    """
    drives = _drives(piece, body, alignment, athlete)
    if drives is None:
        return None
    place, rows = _read(drives, athlete)
    moment, compression, shear = rows
    usual = float(np.median(compression[: max(1, len(compression) // 3)]))
    plain = trend(compression)
    creep = _creep(drives, athlete, compression, place)
    inertia = _inertia(drives, athlete, compression, place)
    return BackTrend(
        drives.indices,
        moment,
        compression,
        shear,
        compression / usual,
        None if plain is None else _wider(plain, float(np.hypot(creep, inertia))),
        100.0 * place / (POINTS - 1),
        _at(drives.inertia_nm, place),
        creep,
        inertia,
    )


def _drives(
    piece: PieceAnalysis, body: BodySeries, alignment: Alignment, athlete: Athlete
) -> _Drives | None:
    metres = 1.0 if body.length_unit == METRES else athlete.stature_m
    calm = body.calm()
    moved = _trunk_moment(body.calm(SWING_HZ), athlete, metres)
    has_hip = bool(np.isfinite(calm.values("hip_height_m")).any())
    kept: list[int] = []
    rows: list[tuple[FloatArray, ...]] = []
    for stroke in piece.strokes:
        if stroke.remark:
            continue
        if alignment.further and not alignment.shows(stroke.catch_s, stroke.finish_s):
            continue
        at = np.linspace(stroke.catch_s, stroke.finish_s, POINTS)
        video = np.array([alignment.video_time(float(t)) for t in at])
        lean = calm.at("trunk_lean_rad", video)
        handle = metres * calm.at("handle_height_m", video)
        hip = metres * calm.at("hip_height_m", video) if has_hip else np.zeros(POINTS)
        if np.isfinite(lean + handle + hip).mean() < 0.8:
            continue
        kept.append(stroke.index)
        pull = np.interp(at, piece.trace.time_s, piece.trace.force_n)
        inertia = np.interp(video, calm.time_s, moved, left=np.nan, right=np.nan)
        rows.append((lean, handle, hip, pull, inertia))
    if not kept:
        return None
    lean, handle, hip, pull, inertia = (np.array(each) for each in zip(*rows, strict=True))
    return _Drives(tuple(kept), lean, handle, hip if has_hip else None, pull, inertia)


def _read(
    drives: _Drives, athlete: Athlete
) -> tuple[int, tuple[FloatArray, FloatArray, FloatArray]]:
    """The place of the usual highest compression, and moment, compression and shear there."""
    moment, compression, shear = drives.load(athlete)
    usual = np.nanmedian(compression, axis=0)
    place = int(np.nanargmax(np.nan_to_num(usual, nan=-np.inf)))
    return place, (_at(moment, place), _at(compression, place), _at(shear, place))


def _at(rows: FloatArray, place: int) -> FloatArray:
    """Mean about a place of each drive: (S,); NaN where nothing is known there."""
    half = max(1, round(0.5 * AROUND * (POINTS - 1)))
    inside = rows[:, max(0, place - half) : place + half + 1]
    known = np.isfinite(inside)
    total = np.where(known, inside, 0.0).sum(axis=1)
    mean: FloatArray = np.where(known.any(axis=1), total / np.maximum(known.sum(axis=1), 1), np.nan)
    return mean


def _creep(drives: _Drives, athlete: Athlete, compression: FloatArray, place: int) -> float:
    """What a camera that creeps or rolls over the piece could do to the trend, as a share."""
    along = np.linspace(0.0, 1.0, len(drives.indices))[:, None]
    rolled = replace(drives, lean_rad=drives.lean_rad + ROLL_RAD * along)
    parts = [rolled]
    if drives.hip_m is None:
        parts.append(replace(drives, handle_m=drives.handle_m + CREEP_M * along))
    changes = [_change(_at(each.load(athlete)[1], place)) - _change(compression) for each in parts]
    return float(np.sqrt(np.sum(np.square(changes))))


def _inertia(drives: _Drives, athlete: Athlete, compression: FloatArray, place: int) -> float:
    """What the accelerations that are left out could do to the trend, as a share."""
    extra = _at(drives.inertia_nm, place) / athlete.muscle_arm_m
    if np.isnan(extra).any() or len(extra) < 2:
        return 0.0
    at = np.linspace(0.0, 1.0, len(extra))
    # What stays the same all along is no trend, however large it is.
    rise, (_, first) = np.polyfit(at, extra, 1)[0], np.polyfit(at, compression, 1)
    return abs(float(rise / first)) if first > 0.0 else 0.0


def _change(values: FloatArray) -> float:
    """Change over the piece as a share, by least squares: smooth enough to take differences of."""
    at = np.linspace(0.0, 1.0, len(values))
    if len(values) < 2:
        return 0.0
    slope, first = np.polyfit(at, values, 1)
    return float(slope / first) if first > 0.0 else 0.0


def _wider(plain: Trend, more: float) -> Trend:
    """The trend with an interval that holds a further standard deviation."""
    error = float(np.hypot(plain.error, more))
    wide = replace(plain, error=error)
    low, high = wide.between(0.95)
    return replace(wide, low=low, high=high)


def _trunk_moment(body: BodySeries, athlete: Athlete, metres: float) -> FloatArray:
    """Moment about the low back that the trunk's acceleration asks for: (T,) N m, as the weight.

    The mass above the joint as one piece on hip to shoulder; slopes are those of cubics through
    0.2 s. Positive where the back muscle must hold more.
    """
    seat, lean = metres * body.seat_m, body.trunk_lean_rad
    step_s = float(np.median(np.diff(body.time_s))) if len(body.time_s) > 1 else 0.0
    width = 2 * round(0.1 / step_s) + 1 if step_s > 0.0 else 0
    if width < 5 or np.isnan(seat).all() or len(seat) < width:
        return np.full(len(seat), np.nan)
    from scipy.signal import savgol_filter

    def twice(row: FloatArray) -> FloatArray:
        curve: FloatArray = savgol_filter(row, width, 3, deriv=2, delta=step_s, mode="nearest")
        return curve

    trunk = HIP_TO_SHOULDER * athlete.stature_m
    mass = MASS_ABOVE * athlete.mass_kg
    far = BALANCE_SHARE * trunk  # hip to where it balances
    back = twice(seat - far * np.sin(lean))
    up = twice(far * np.cos(lean))
    arm = (BALANCE_SHARE - JOINT_SHARE) * trunk
    # About the joint: mass centre `arm` along the trunk, forward is towards the flywheel.
    forward = -back
    turning = mass * (GYRATION_SHARE * trunk) ** 2 * twice(lean)
    moment: FloatArray = mass * arm * (up * np.sin(lean) - forward * np.cos(lean)) - turning
    return moment
