"""Two force curves, over each other on one axis."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal

import numpy as np

from analysis.force.curves import drive_axis
from analysis.force.trace import FORCE, FloatArray, ForceTrace
from analysis.signals.along import course_of
from analysis.signals.signal import Signal
from analysis.signals.stroke import Stroke

PairAxis = Literal["time", "length", "percent"]
PAIR_AXES: Final = ("time", "length", "percent")
POINTS: Final = 201


@dataclass(frozen=True)
class CurvePair:
    """Two curves on one axis, N points.

    Attributes
    ----------
    axis : "time": seconds from each catch; "length": metres of handle travel from each catch;
        "percent": percent of each drive's time
    along : (N,) in the unit of the axis
    left, right : (N,) N or rad; NaN where a curve is over, or not known
    signal, title, unit : of what they are curves
    """

    axis: PairAxis
    along: FloatArray
    left: FloatArray
    right: FloatArray
    signal: str = FORCE
    title: str = "Force"
    unit: str = "N"

    @property
    def is_force(self) -> bool:
        """Whether newtons are compared."""
        return self.signal == FORCE

    @property
    def difference(self) -> FloatArray:
        """Right less left, (N,); NaN where either is."""
        return self.right - self.left

    @property
    def largest(self) -> tuple[float, float] | None:
        """Where the two are farthest apart, and by how much (right less left)."""
        apart = np.abs(self.difference)
        if not np.isfinite(apart).any():
            return None
        at = int(np.nanargmax(apart))
        return float(self.along[at]), float(self.difference[at])


def force_pair(
    left: tuple[ForceTrace, Stroke], right: tuple[ForceTrace, Stroke], axis: PairAxis
) -> CurvePair | None:
    """Lay the force of two drives over each other; None where an axis is not known of both.

    By length, time and percent each force is read at its own instant, between samples; nothing
    is stretched on the axes of seconds and metres, so that one curve may end before the other.
    """
    kind: Literal["time", "length"] = "length" if axis == "length" else "time"
    courses = [drive_axis(trace, stroke, kind) for trace, stroke in (left, right)]
    if courses[0] is None or courses[1] is None:
        return None
    ends = [float(course[1][-1]) for course in courses if course is not None]
    along = np.linspace(0.0, 100.0 if axis == "percent" else max(ends), POINTS)
    read = []
    for (trace, _stroke), course, end in zip((left, right), courses, ends, strict=True):
        assert course is not None
        time_s, where = course
        place = along / 100.0 * end if axis == "percent" else along
        force_n = np.interp(np.interp(place, where, time_s), trace.time_s, trace.force_n)
        read.append(np.where(place > end * (1.0 + 1e-9), np.nan, force_n))
    return CurvePair(axis, along, read[0], read[1])


def signal_pair(
    left: tuple[Signal, Signal | None, Stroke],
    right: tuple[Signal, Signal | None, Stroke],
    axis: PairAxis,
) -> CurvePair | None:
    """Lay any signal of two drives over each other; None where an axis is not known of both.

    Parameters
    ----------
    left, right : the signal, the handle's position for an axis of length, and the stroke; both
        signals in one unit

    Returns
    -------
    CurvePair or None
        Holes of a signal stay open; None also where one of the two is known nowhere.
    """
    kind: Literal["time", "length"] = "length" if axis == "length" else "time"
    courses = [
        course_of(stroke, kind, "drive", handle) for _signal, handle, stroke in (left, right)
    ]
    if courses[0] is None or courses[1] is None:
        return None
    ends = [float(course[1][-1]) for course in courses if course is not None]
    along = np.linspace(0.0, 100.0 if axis == "percent" else max(ends), POINTS)
    read = []
    for (signal, _handle, _stroke), course, end in zip((left, right), courses, ends, strict=True):
        assert course is not None
        time_s, where = course
        place = along / 100.0 * end if axis == "percent" else along
        values = signal.at(np.interp(place, where, time_s))
        read.append(np.where(place > end * (1.0 + 1e-9), np.nan, values))
    if not all(np.isfinite(values).any() for values in read):
        return None
    what = left[0]
    return CurvePair(axis, along, read[0], read[1], what.name, what.title, what.unit)
