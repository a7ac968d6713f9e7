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
    """Force of one drive at 0, 1 ... 100 % of the drive: (101,) N."""
    raise NotImplementedError


def curve_set(trace: ForceTrace, strokes: Sequence[Stroke], axis: Axis = "time") -> CurveSet | None:
    """Curves of all whole strokes with mean and spread; None when there is none to average."""
    raise NotImplementedError
