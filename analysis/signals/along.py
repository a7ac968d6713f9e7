"""How far a stroke is at an instant: percent of its drive, its recovery or the whole of it."""

from __future__ import annotations

from typing import Literal

import numpy as np

from analysis.signals.signal import FloatArray, Signal
from analysis.signals.stroke import Stroke

Axis = Literal["time", "length"]
CurveAxis = Literal["time", "length", "phase"]
Part = Literal["drive", "recovery", "stroke"]
Course = tuple[FloatArray, FloatArray]

PERCENT: FloatArray = np.linspace(0.0, 100.0, 101)
# The handle may step back this share of the length (noise) and the length axis holds.
# Common practice, no source.
LARGEST_STEP_BACK = 0.05


def course_of(
    stroke: Stroke, axis: Axis, part: Literal["drive", "recovery"], handle: Signal | None = None
) -> Course | None:
    """Instants of a drive or a recovery and how far along its axis each is.

    Parameters
    ----------
    handle : position of the handle, m, growing in the drive; needed for "length"

    Returns
    -------
    (n,) s and (n,) s or m from the part's beginning, never falling; or None where the part has no
    end, and for a length axis without position, without travel, or where the handle runs the wrong
    way by more than noise.
    """
    ends = (stroke.catch_s, stroke.finish_s) if part == "drive" else stroke.recovery
    if ends is None:
        return None
    if axis == "time":
        both = np.array(ends)
        return both, both - ends[0]
    if handle is None or ends[1] <= ends[0]:
        return None
    return _travel(handle, ends, 1.0 if part == "drive" else -1.0)


def _travel(handle: Signal, ends: tuple[float, float], sign: float) -> Course | None:
    clock, position = handle.known
    if len(clock) < 2:
        return None
    first, last = np.searchsorted(clock, ends)
    time_s = np.unique(np.concatenate((ends[:1], clock[first:last], ends[1:])))
    travel = np.interp(time_s, clock, position)
    travel = sign * (travel - travel[0])
    highest = np.maximum.accumulate(travel)
    length = float(highest[-1])
    if length <= 0.0 or float((highest - travel).max()) > LARGEST_STEP_BACK * length:
        return None
    # np.interp needs a rising axis: flat spots get a slope of no size.
    return time_s, highest + np.linspace(0.0, 1e-9 * length, len(highest))


def instants(
    stroke: Stroke, axis: CurveAxis, part: Part, handle: Signal | None = None
) -> tuple[FloatArray, float] | None:
    """Where a part of a stroke is 0, 1 ... 100 % done, and how long it is.

    Of a whole stroke by "time" the percents run evenly from catch to next catch. By "phase" they
    run evenly from catch to finish, which is 50 %, and from there to the next catch, so that
    strokes of any rate meet at the same events; by "length" likewise, along the handle's travel
    out and home. Of a drive or a recovery alone, "phase" is the same as "time".

    Returns
    -------
    (101,) s, NaN where by length the handle is not known; and seconds, or metres by length (of a
    whole stroke those of its drive). None where `course_of` gives none.
    """
    if part != "stroke":
        kind: Axis = "length" if axis == "length" else "time"
        return _read(course_of(stroke, kind, part, handle), handle if axis == "length" else None)
    if stroke.recovery is None:
        return None
    if axis == "time":
        whole_s = stroke.recovery[1] - stroke.catch_s
        return stroke.catch_s + PERCENT / 100.0 * whole_s, whole_s
    out = instants(stroke, axis, "drive", handle)
    home = instants(stroke, axis, "recovery", handle)
    if out is None or home is None:
        return None
    span = out[1] if axis == "length" else out[1] + home[1]
    return np.concatenate((out[0][::2], home[0][2::2])), span


def _read(course: Course | None, handle: Signal | None) -> tuple[FloatArray, float] | None:
    if course is None:
        return None
    time_s, where = course
    at_s = np.interp(PERCENT / 100.0 * where[-1], where, time_s)
    if handle is not None:
        at_s = np.where(np.isnan(handle.at(at_s)), np.nan, at_s)
    return at_s, float(where[-1])
