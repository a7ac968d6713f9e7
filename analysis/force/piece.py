"""A whole piece cut, measured and averaged."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from analysis.force.curves import curve_set
from analysis.force.measures import measure_all
from analysis.force.rest import said_of
from analysis.force.strokes import CutTrace, cut_trace
from analysis.force.trace import ForceTrace
from analysis.measures.measures import Measures
from analysis.measures.registry import KEYS
from analysis.signals.along import CurveAxis, Part
from analysis.signals.curves import CurveSet, signal_curve
from analysis.signals.curves import curve_set as set_of_curves
from analysis.signals.signal import FloatArray, Signal, SignalSet
from analysis.signals.stroke import Stroke


@dataclass(frozen=True)
class PieceAnalysis:
    """What is known about one piece.

    Attributes
    ----------
    trace : force above the level of rest, unless it was to be kept as recorded
    measures : one for each stroke, in the same order
    by_time, by_length : None where there is no whole stroke, or no usable handle position
    """

    trace: ForceTrace
    strokes: tuple[Stroke, ...]
    measures: tuple[Measures, ...]
    by_time: CurveSet | None
    by_length: CurveSet | None

    @property
    def typical(self) -> Stroke | None:
        """The stroke nearest the mean curve, None when there is no mean."""
        if self.by_time is None:
            return None
        # By its number: the strokes may be those of one section alone.
        return next((s for s in self.strokes if s.index == self.by_time.typical), None)

    @property
    def from_picture(self) -> bool:
        """No: its strokes run from catch to finish."""
        return False

    @property
    def signals(self) -> SignalSet:
        """Every signal of the recording."""
        return self.trace.signals

    def curve(
        self, signal: Signal, stroke: Stroke, axis: CurveAxis = "time", part: Part = "drive"
    ) -> FloatArray | None:
        """Any signal over a part of a stroke, as `signals.curves.signal_curve` gives it."""
        return signal_curve(signal, stroke, axis, part, self.trace.handle)

    def curves(
        self, signal: Signal, axis: CurveAxis = "time", part: Part = "drive"
    ) -> CurveSet | None:
        """Any signal over all whole strokes, as `signals.curves.curve_set` gives it."""
        return set_of_curves(signal, self.strokes, axis, part, self.trace.handle)

    def only(self, rows: Sequence[int]) -> PieceAnalysis:
        """The piece with some of its strokes alone: their mean curve and spread, their numbers."""
        strokes = tuple(self.strokes[i] for i in rows)
        return replace(
            self,
            strokes=strokes,
            measures=tuple(self.measures[i] for i in rows),
            by_time=curve_set(self.trace, strokes, "time"),
            by_length=curve_set(self.trace, strokes, "length"),
        )


@dataclass(frozen=True)
class Spread:
    """Mean and sample standard deviation of a measure over `count` strokes.

    `sd` is None for a single stroke.
    """

    mean: float
    sd: float | None
    count: int


def analyse(trace: ForceTrace, keep_rest: bool | None = None) -> PieceAnalysis:
    """Cut, measure and average a piece.

    Parameters
    ----------
    keep_rest : leave in the force what the recorder reads while nobody pulls. None: as the reading
        of its columns says, and where that says nothing it is taken off
    """
    if keep_rest is None:
        keep_rest = trace.intake is not None and trace.intake.mapping.keep_rest
    cut = cut_trace(trace)
    trace = _above_rest(trace, cut, keep_rest)
    return PieceAnalysis(
        trace,
        cut.strokes,
        measure_all(trace, cut.strokes),
        curve_set(trace, cut.strokes, "time"),
        curve_set(trace, cut.strokes, "length"),
    )


def _above_rest(trace: ForceTrace, cut: CutTrace, keep_rest: bool) -> ForceTrace:
    """Take the level of rest off the force, and say so where it matters."""
    if not cut.strokes:
        return trace
    level = trace.force_n - cut.rest.at(trace.time_s)
    intake = trace.intake
    if intake is not None:
        at_s = np.array([0.5 * (s.catch_s + s.finish_s) for s in cut.strokes])
        ends = np.searchsorted(trace.time_s, [(s.catch_s, s.finish_s) for s in cut.strokes])
        peaks = np.array([level[a : max(b, a + 1)].max() for a, b in ends])
        said = said_of(cut.rest.at(at_s), peaks, keep_rest)
        intake = replace(intake, remarks=(*intake.remarks, said)) if said else intake
    return replace(trace, force_n=trace.force_n if keep_rest else level, intake=intake)


def summary(piece: PieceAnalysis) -> dict[str, Spread | None]:
    """Mean and spread of every measure over the whole strokes of a piece.

    Whole strokes are those without a remark; outlying ones count, for they were rowed.

    Returns
    -------
    The keys of `Measures` in their order; None for a measure no whole stroke has.
    """
    return summary_of(piece.measures, piece.strokes)


def summary_of(measures: Sequence[Measures], strokes: Sequence[Stroke]) -> dict[str, Spread | None]:
    """Mean and spread of every measure over whole strokes, whatever they were cut from."""
    whole = [m for m, s in zip(measures, strokes, strict=True) if not s.remark]
    return {key: _spread([m[key] for m in whole]) for key in KEYS}


def _spread(values: list[float | None]) -> Spread | None:
    known = np.array([v for v in values if v is not None], dtype=np.float64)
    if len(known) == 0:
        return None
    sd = float(known.std(ddof=1)) if len(known) > 1 else None
    return Spread(float(known.mean()), sd, len(known))
