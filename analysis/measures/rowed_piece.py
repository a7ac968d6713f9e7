"""Strokes with their measures and curves, whatever they were cut from: force or picture."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Protocol, Self

from analysis.measures.measures import Measures
from analysis.signals.along import CurveAxis, Part
from analysis.signals.curves import CurveSet
from analysis.signals.signal import FloatArray, Signal, SignalSet
from analysis.signals.stroke import Stroke


class RowedPiece(Protocol):
    """What everything that works on strokes asks for.

    Attributes
    ----------
    strokes, measures : in the same order
    by_time, by_length : curves of the signal that leads (the force; of a film alone the handle's
        speed or way), None where there is none
    typical : the stroke nearest their mean
    signals : all there are, on the clock of the strokes
    from_picture : whether strokes run from turn to turn of the hands, not from catch to finish
    """

    @property
    def strokes(self) -> tuple[Stroke, ...]: ...  # noqa: D102
    @property
    def measures(self) -> tuple[Measures, ...]: ...  # noqa: D102
    @property
    def by_time(self) -> CurveSet | None: ...  # noqa: D102
    @property
    def by_length(self) -> CurveSet | None: ...  # noqa: D102
    @property
    def typical(self) -> Stroke | None: ...  # noqa: D102
    @property
    def signals(self) -> SignalSet: ...  # noqa: D102
    @property
    def from_picture(self) -> bool: ...  # noqa: D102

    def curve(
        self, signal: Signal, stroke: Stroke, axis: CurveAxis = "time", part: Part = "drive"
    ) -> FloatArray | None:
        """Any signal over a part of a stroke, as `signals.curves.signal_curve` gives it."""
        ...

    def curves(
        self, signal: Signal, axis: CurveAxis = "time", part: Part = "drive"
    ) -> CurveSet | None:
        """Any signal over all whole strokes, as `signals.curves.curve_set` gives it."""
        ...

    def only(self, rows: Sequence[int]) -> Self:
        """The piece with some of its strokes alone, by their place among them."""
        ...
