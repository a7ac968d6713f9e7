"""A stroke in what it was rowed in, and two of them over each other."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from analysis.comparing.curves import CurvePair, PairAxis
    from analysis.force.trace import ForceTrace
    from analysis.measures.rowed_piece import RowedPiece
    from analysis.signals.along import Axis, Course
    from analysis.signals.signal import Signal, SignalSet
    from analysis.signals.stroke import Stroke


@dataclass(frozen=True, eq=False)
class RowedStroke:
    """One stroke.

    Attributes
    ----------
    piece : the force recording it belongs to, or the strokes of a film alone
    signals : all that is known over it
    """

    piece: RowedPiece
    stroke: Stroke
    signals: SignalSet

    @property
    def trace(self) -> ForceTrace | None:
        """The force it was cut from; None where it was seen in the picture."""
        from analysis.force.piece import PieceAnalysis

        return self.piece.trace if isinstance(self.piece, PieceAnalysis) else None

    @property
    def handle(self) -> Signal | None:
        """Where the handle is, metres; None where nobody knows."""
        from analysis.body.picture_piece import PicturePiece

        if isinstance(self.piece, PicturePiece):
            return self.piece.handle_m
        return None if self.trace is None else self.trace.handle

    def course(self, axis: Axis) -> Course | None:
        """How far its drive is along an axis, as `signals.along.course_of` gives it."""
        from analysis.signals.along import course_of

        return course_of(self.stroke, axis, "drive", self.handle)


def pair_of(left: RowedStroke, right: RowedStroke, axis: PairAxis) -> CurvePair | None:
    """Two drives over each other: their force, or where one has none what the picture leads with.

    None where they share nothing that could be compared, or an axis is not known of both.
    """
    from analysis.body.picture_piece import LEADING, signal_name
    from analysis.comparing.curves import force_pair, signal_pair

    if left.trace is not None and right.trace is not None:
        return force_pair((left.trace, left.stroke), (right.trace, right.stroke), axis)
    for name in map(signal_name, LEADING):
        one, other = left.signals.get(name), right.signals.get(name)
        if one is not None and other is not None and one.unit == other.unit:
            return signal_pair(
                (one, left.handle, left.stroke), (other, right.handle, right.stroke), axis
            )
    return None
