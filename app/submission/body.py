"""The body in a film of a submission, as it was followed."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from analysis.body.angles import BodySeries
    from analysis.body.lengths import KnownLength
    from analysis.body.order import Order
    from analysis.body.piece import BodyAnalysis
    from analysis.body.track import BodyTrack
    from analysis.body.view import View
    from analysis.force.piece import Spread
    from analysis.measures.measures import Measures
    from analysis.signals.stroke import Stroke
    from app.review.parts.media import MediaRef


@dataclass(frozen=True, eq=False)
class LoadedBody:
    """What the followed points of a film tell.

    Attributes
    ----------
    ref : the film they were followed in
    analysis : series, strokes, measures and order of movement
    """

    ref: MediaRef
    analysis: BodyAnalysis

    @property
    def track(self) -> BodyTrack:
        """The points themselves."""
        return self.analysis.track

    @property
    def series(self) -> BodySeries:
        """Angles and ways over time."""
        return self.analysis.series

    @property
    def strokes(self) -> tuple[Stroke, ...]:
        """Strokes from the picture, in seconds of the film."""
        return self.analysis.strokes

    @property
    def measures(self) -> tuple[Measures, ...]:
        """Measures from the picture, one for each stroke."""
        return self.analysis.measures

    @property
    def order(self) -> Order | None:
        """Legs, trunk and arms; None where it cannot be told."""
        return self.analysis.order

    @property
    def remarks(self) -> tuple[str, ...]:
        """What is left out or uncertain, one sentence each."""
        return self.analysis.remarks

    @cached_property
    def usual(self) -> Mapping[str, Spread | None]:
        """Mean and spread of each measure from the picture by its name."""
        return self.analysis.usual


def loaded_body(
    ref: MediaRef,
    track: BodyTrack,
    stature_m: float | None = None,
    view: View | None = None,
    known: KnownLength | None = None,
) -> LoadedBody:
    """Work out what the points of a film tell; parameters as of `analysis.body.piece`."""
    from analysis.body.piece import analyse_body

    return LoadedBody(ref, analyse_body(track, view, stature_m, known))
