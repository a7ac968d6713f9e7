"""Force over the drive of a trace: what `analysis.signals` gives for any signal, for this one."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from analysis.force.trace import ForceTrace
from analysis.signals.along import PERCENT, Axis, Course, course_of
from analysis.signals.curves import CurveSet
from analysis.signals.curves import curve_set as set_of_curves
from analysis.signals.signal import FloatArray
from analysis.signals.stroke import Stroke

__all__ = ["PERCENT", "Axis", "CurveSet", "curve_set", "drive_axis", "stroke_curve"]


def stroke_curve(trace: ForceTrace, stroke: Stroke, axis: Axis = "time") -> FloatArray:
    """Force of one drive at 0, 1 ... 100 % of the drive: (101,) N.

    To be looked at: samples that are missing are bridged by a straight line, for which the stroke
    has its remark. `signals.curves.signal_curve` leaves them unknown.

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


def drive_axis(trace: ForceTrace, stroke: Stroke, axis: Axis) -> Course | None:
    """Instants of a drive and how far along its axis each is, as `signals.along.course_of`."""
    return course_of(stroke, axis, "drive", trace.handle)


def curve_set(trace: ForceTrace, strokes: Sequence[Stroke], axis: Axis = "time") -> CurveSet | None:
    """Force of all whole strokes with mean and spread; None when there is none to average.

    Strokes with a remark are left out. A length axis needs position in at least one stroke.
    """
    return set_of_curves(trace.force, strokes, axis, handle=trace.handle)
