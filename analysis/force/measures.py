"""The measures of the strokes of a force trace."""

from __future__ import annotations

from collections.abc import Sequence

from analysis.force.trace import ForceTrace
from analysis.measures.measured_stroke import MeasuredStroke
from analysis.measures.measures import Measures, measures_of
from analysis.signals.stroke import Stroke


def measure_stroke(trace: ForceTrace, stroke: Stroke) -> Measures:
    """Measure one stroke.

    Parameters
    ----------
    stroke : with `finish_s` after `catch_s`; anything else has no measures
    """
    return measures_of(MeasuredStroke(stroke, trace.force, trace.handle, trace.signals))


def measure_all(trace: ForceTrace, strokes: Sequence[Stroke]) -> tuple[Measures, ...]:
    """Measures of each stroke, in the order given, those with a remark included."""
    return tuple(measure_stroke(trace, stroke) for stroke in strokes)
