"""Rules on what the body does, one a function. Angles in degrees, places in percent of drive."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from analysis.body.angles import BODY_LENGTHS, SIGNALS, BodySeries
from analysis.body.strokes import USUAL_STATURE_M
from analysis.findings.raised import Raised, late_in_most
from analysis.findings.thresholds import Thresholds
from analysis.signals.signal import FloatArray
from analysis.signals.stroke import Stroke

PCT: FloatArray = np.linspace(0.0, 100.0, 101)


@dataclass(frozen=True)
class BodyCycles:
    """Every signal over S drives and the recoveries before them.

    Attributes
    ----------
    drive, recovery : (S, 101) by the names of `BodySeries`; degrees or metres, NaN if unknown.
        Of a body whose stature nobody stated, metres as of one of usual stature
    force : (S, 101) share of the peak over the same drives, NaN without a trace
    """

    strokes: tuple[Stroke, ...]
    drive: dict[str, FloatArray]
    recovery: dict[str, FloatArray]
    force: FloatArray

    @property
    def count(self) -> int:
        """How many drives."""
        return len(self.strokes)


Rule = Callable[[BodyCycles, Thresholds], Raised]


def body_cycles(
    body: BodySeries, strokes: tuple[Stroke, ...], force: FloatArray | None = None
) -> BodyCycles:
    """Lay the series over 0-100 % of each drive and of the recovery before it."""
    share = PCT / 100.0
    out = np.array([s.catch_s + share * (s.finish_s - s.catch_s) for s in strokes])
    begin = np.array([np.nan if s.before_s is None else s.before_s for s in strokes])
    catch = np.array([s.catch_s for s in strokes])
    home = begin[:, None] + share * (catch - begin)[:, None]
    drive, recovery = {}, {}
    calm = body.calm()
    metres = USUAL_STATURE_M if body.length_unit == BODY_LENGTHS else 1.0
    for name in SIGNALS:
        scale = 180.0 / np.pi if name.endswith("_rad") else metres
        drive[name] = scale * calm.at(name, out)
        recovery[name] = scale * calm.at(name, home)
    if force is None:
        force = np.full((len(strokes), len(PCT)), np.nan)
    return BodyCycles(strokes, drive, recovery, force)


def _raise(
    cycles: BodyCycles,
    code: str,
    measure: str,
    unit: str,
    values: FloatArray,
    limits: tuple[float, float],
    span: tuple[FloatArray | float, FloatArray | float],
    look_pct: FloatArray | float | None = None,
) -> Raised:
    first = np.broadcast_to(np.asarray(span[0], dtype=np.float64), (cycles.count,))
    last = np.broadcast_to(np.asarray(span[1], dtype=np.float64), (cycles.count,))
    look = 0.5 * (first + last) if look_pct is None else look_pct
    catch = np.array([s.catch_s for s in cycles.strokes])
    drive = np.array([s.finish_s - s.catch_s for s in cycles.strokes])
    shows = np.nan_to_num(values, nan=-np.inf) > limits[0]
    look_s = catch + np.asarray(look) / 100.0 * drive
    return Raised(code, measure, unit, shows, values, *limits, first, last, look_s, on_video=True)


def _at(rows: FloatArray, first_pct: float, last_pct: float | None = None) -> FloatArray:
    """Mean between two places: (S,)."""
    last = first_pct if last_pct is None else last_pct
    inside = (first_pct - 0.5 <= PCT) & (last + 0.5 >= PCT)
    mean: FloatArray = rows[:, inside].mean(axis=1)
    return mean


def thrown_catch(cycles: BodyCycles, t: Thresholds) -> Raised:
    """The trunk still reaches in the second half of the slide.

    By the slide, not by time: who hurries is not therefore late with the body. It ends where the
    seat turns: what the trunk does when the seat has left belongs to another finding.
    """
    lean = cycles.recovery["trunk_lean_rad"]
    seat = cycles.recovery["seat_m"]
    way = np.fmax(seat[:, :1] - seat.min(axis=1, keepdims=True), 1e-9)
    half = _reaches((seat[:, :1] - seat) / way, 0.5)
    turn = np.where(np.isfinite(half), PCT[np.nan_to_num(seat, nan=np.inf).argmin(axis=1)], np.nan)
    values = _read(lean, turn) - _read(lean, half)
    limits = t["thrown-catch.lean"], t["thrown-catch.strong"]
    return _raise(cycles, "thrown-catch", "lean gained in the second half of the slide", "°",
                  values, limits, (0.0, 5.0), -5.0)  # fmt: skip


def seat_first(cycles: BodyCycles, t: Thresholds) -> Raised:
    """The seat goes back while the handle stands."""
    seat, handle = cycles.drive["seat_m"], cycles.drive["handle_m"]
    # Some leave before the handle turns: the start is the seat's own turn.
    home = np.fmin(cycles.recovery["seat_m"][:, 85:].min(axis=1), seat[:, 0])
    ahead = (seat - home[:, None]) - (handle - handle[:, :1])
    early = ahead[:, :31]
    values = early.max(axis=1)
    where = PCT[np.nan_to_num(early, nan=-1.0).argmax(axis=1)]
    limits = t["seat-first.ahead"], t["seat-first.strong"]
    return _raise(cycles, "seat-first", "way of the seat ahead of the handle", "m", values,
                  limits, (0.0, 25.0), where)  # fmt: skip


def back_rounds(cycles: BodyCycles, t: Thresholds) -> Raised:
    """The low back bends further after the catch."""
    bend = cycles.drive["lumbar_flexion_rad"]
    under_load = bend[:, 5:71]
    values = under_load.max(axis=1) - _at(bend, 0.0, 3.0)
    where = PCT[5 + np.nan_to_num(under_load, nan=-999.0).argmax(axis=1)]
    limits = t["back-rounds.flexion"], t["back-rounds.strong"]
    return _raise(cycles, "back-rounds", "bend of the low back gained in the drive", "°", values,
                  limits, (np.maximum(where - 15.0, 0.0), where + 15.0), where)  # fmt: skip


def early_arms(cycles: BodyCycles, t: Thresholds) -> Raised:
    """The arms bend while the legs still have a quarter of their way to go."""
    knee, elbow = cycles.drive["knee_rad"], cycles.drive["elbow_rad"]
    late = _reaches(_opened(knee), 0.75)
    values = _read(elbow, late) - _at(elbow, 0.0, 5.0)
    limits = t["early-arms.elbow"], t["early-arms.strong"]
    return _raise(cycles, "early-arms", "elbow bend gained at 75 % of leg extension", "°",
                  values, limits, (0.0, late), late)  # fmt: skip


def empty_lean_back(cycles: BodyCycles, t: Thresholds) -> Raised:
    """The trunk goes on back with nothing in the hands, or further than anything is won."""
    lean = -cycles.drive["trunk_lean_rad"]
    deepest = lean[:, 80:].max(axis=1)
    gone = np.array([_force_gone(row) for row in cycles.force])
    wasted = deepest - _read(lean, gone)
    limits = t["empty-lean-back.lean"], t["empty-lean-back.strong"]
    by_lean = _raise(
        cycles,
        "empty-lean-back",
        "lean back from the vertical at the finish",
        "°",
        deepest,
        limits,
        (80.0, 100.0),
        97.0,
    )
    if by_lean.shows.mean() >= t["share-from"] or not np.isfinite(wasted).any():
        return by_lean
    limits = t["empty-lean-back.empty"], 2.0 * t["empty-lean-back.empty"]
    return _raise(
        cycles,
        "empty-lean-back",
        "lean back done after the force is gone",
        "°",
        wasted,
        limits,
        (np.where(np.isfinite(gone), gone, 80.0), 100.0),
        97.0,
    )


def _force_gone(row: FloatArray) -> float:
    """Percent of the body's drive at which force last stood above a fifth of its peak."""
    if not np.isfinite(row).any():
        return float("nan")
    above = np.flatnonzero(np.nan_to_num(row) >= 0.2)
    return float(PCT[above[-1]]) if len(above) else float("nan")


def hands_off_level(cycles: BodyCycles, t: Thresholds) -> Raised:
    """The hands leave their line in the first two thirds of the drive."""
    off = height_off_line(cycles)
    values = off.max(axis=1)
    where = PCT[np.nan_to_num(off, nan=-1.0).argmax(axis=1)]
    limits = t["hands-off-level.height"], t["hands-off-level.strong"]
    return _raise(cycles, "hands-off-level", "way of the hands off their line", "m", values,
                  limits, (5.0, 66.0), where)  # fmt: skip


def height_off_line(cycles: BodyCycles) -> FloatArray:
    """How far the hands leave their line in the first two thirds of the drive: (S, 66) m.

    The line is level from the catch, or runs straight from catch to finish, whichever fits
    better: hands that come high by themselves at the finish have not left it.
    """
    height = cycles.drive["handle_height_m"]
    begin, end = _at(height, 0.0, 4.0), _at(height, 96.0, 100.0)
    straight = begin[:, None] + (end - begin)[:, None] * PCT / 100.0
    off = np.abs(height - straight)[:, :66]
    level = np.abs(height - begin[:, None])[:, :66]
    flatter = level.max(axis=1, keepdims=True) < off.max(axis=1, keepdims=True)
    return np.where(flatter, level, off)


def early_trunk(cycles: BodyCycles, t: Thresholds) -> Raised:
    """The trunk has opened when the legs have done only a third of theirs."""
    third = _reaches(_opened(cycles.drive["knee_rad"]), 1.0 / 3.0)
    values = 100.0 * _read(_opened(cycles.drive["trunk_lean_rad"]), third)
    limits = t["early-trunk.opened"], t["early-trunk.strong"]
    return _raise(cycles, "early-trunk", "trunk opened at a third of leg extension",
                  "% of its way", values, limits, (0.0, third), third)  # fmt: skip


def rushed_recovery_seen(cycles: BodyCycles, t: Thresholds) -> Raised:
    """The way home is fastest just before the catch, by the handle in the picture."""
    handle = cycles.recovery["handle_m"]
    far, near = handle.max(axis=1, keepdims=True), handle.min(axis=1, keepdims=True)
    home = (far - handle) / np.fmax(far - near, 1e-9)
    begin, half, end = (_reaches(home, share) for share in (0.1, 0.5, 0.9))
    values = 100.0 * (half - begin) / np.fmax(end - begin, 1.0)
    limits = t["rushed-recovery.halfway"], t["rushed-recovery.strong"]
    raised = _raise(cycles, "rushed-recovery", "when the handle is half way home",
                    "% of recovery", values, limits, (100.0, 100.0))  # fmt: skip
    begun = np.array([np.nan if s.before_s is None else s.before_s for s in cycles.strokes])
    catch = np.array([s.catch_s for s in cycles.strokes])
    look = np.where(np.isfinite(begun), begun + half / 100.0 * (catch - begun), catch)
    return replace(raised, look_s=look, shows=late_in_most(values, limits[0]))


def _opened(rows: FloatArray) -> FloatArray:
    """Share of its way from the catch to its least value that an angle has done: (S, 101)."""
    begin = _at(rows, 0.0, 3.0)
    way = begin - rows.min(axis=1)
    with np.errstate(invalid="ignore", divide="ignore"):
        done: FloatArray = (begin[:, None] - rows) / np.where(way > 5.0, way, np.nan)[:, None]
    return done


def _reaches(rows: FloatArray, share: float) -> FloatArray:
    """Percent of the drive at which each row first reaches a share; NaN if unknown: (S,)."""
    known = np.isfinite(rows).all(axis=1)
    at = PCT[(np.nan_to_num(rows) >= share).argmax(axis=1)]
    return np.where(known, at, np.nan)


def _read(rows: FloatArray, at_pct: FloatArray) -> FloatArray:
    """Value of each row at its own place; NaN where the place is: (S,)."""
    return np.array(
        [
            np.interp(at, PCT, row) if np.isfinite(at) else np.nan
            for row, at in zip(rows, at_pct, strict=True)
        ]
    )


BODY_RULES: tuple[Rule, ...] = (
    thrown_catch,
    seat_first,
    back_rounds,
    early_arms,
    empty_lean_back,
    hands_off_level,
    early_trunk,
)
