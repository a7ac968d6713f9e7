"""The body in a film of a submission, as it was followed."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property, lru_cache
from typing import TYPE_CHECKING

import numpy as np

from app.review.values.errors import ReviewError

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from analysis.body.angles import BodySeries
    from analysis.body.lengths import KnownLength
    from analysis.body.order import Order
    from analysis.body.picture_piece import PicturePiece
    from analysis.body.piece import BodyAnalysis
    from analysis.body.track import BodyTrack, Click
    from analysis.body.view import View
    from analysis.clocks.alignment import Alignment
    from analysis.force.piece import PieceAnalysis, Spread
    from analysis.measures.measures import Measures
    from analysis.signals.signal import FloatArray, Signal, SignalSet
    from analysis.signals.stroke import Stroke
    from app.review.parts.body import BodyClick, BodyOfFilm
    from app.review.parts.media import MediaRef
    from app.review.parts.state import ReviewState
    from app.submission.clock import ReviewClock


UNUSABLE = "What was followed of the body cannot be used; follow the body again."


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

    @cached_property
    def piece(self) -> PicturePiece:
        """Strokes, measures and signals together, as a force recording has them."""
        from analysis.body.picture_piece import PicturePiece

        return PicturePiece.of(self.series, self.strokes, self.measures)

    @property
    def order(self) -> Order | None:
        """Legs, trunk and arms; None where it cannot be told."""
        return self.analysis.order

    @property
    def remarks(self) -> tuple[str, ...]:
        """What is left out or uncertain, one sentence each."""
        return self.analysis.remarks

    @property
    def typical(self) -> Stroke | None:
        """The whole stroke nearest to the middle ones; None where none is whole."""
        return self.analysis.typical

    @property
    def refused(self) -> bool:
        """Whether the camera stood where no angle can be read."""
        return bool(np.isnan(self.series.values("knee_rad")).all()) and bool(self.strokes)

    def measures_of(self, stroke: Stroke) -> Measures:
        """Give the measures of one of its strokes."""
        return self.measures[self.strokes.index(stroke)]

    @cached_property
    def usual(self) -> Mapping[str, Spread | None]:
        """Mean and spread of each measure from the picture by its name."""
        return self.analysis.usual


def bodied_by(state: ReviewState) -> tuple[object, ...]:
    """What of a review its body hangs on: it is worked out anew when that changes."""
    return state.video, state.body, placed_clicks(state)


def placed_clicks(state: ReviewState) -> tuple[BodyClick, ...]:
    """The points a coach placed; those that only said who the athlete is are none."""
    return tuple(click for click in state.body_clicks if not click.pointed)


def body_of(state: ReviewState) -> LoadedBody | None:
    """Work out what was followed in the film of a review, as it has it now; None: nothing was.

    Takes some 0.3 s a minute of film at 30 frames a second, and nothing for what was asked last.

    Raises
    ------
    ReviewError
        It cannot be worked out of what a stranger may have written there.
    """
    if state.video is None or state.body.readings is None:
        return None
    try:
        return _body_of(state.video, state.body, placed_clicks(state))
    except (ValueError, ArithmeticError, IndexError) as error:
        raise ReviewError(UNUSABLE) from error


def clicks_of(state: ReviewState) -> list[Click]:
    """The placed points in seconds of the readings, as `analysis.body.following` takes them."""
    return _on_readings(placed_clicks(state), state.body.time_scale)


def _on_readings(clicks: Sequence[BodyClick], time_scale: float) -> list[Click]:
    from analysis.body.track import Click

    return [Click(c.video_s / time_scale, c.point, c.x_px, c.y_px) for c in clicks]


@lru_cache(maxsize=2)
def _body_of(ref: MediaRef, body: BodyOfFilm, clicks: tuple[BodyClick, ...]) -> LoadedBody:
    from analysis.body.following.follow import refine
    from analysis.body.following.view_from import view_from

    assert body.readings is not None
    observed, placed = body.readings.observed, _on_readings(clicks, body.time_scale)
    track = refine(observed, placed)
    view = view_from(track, placed, observed.picture_px, stature_m=body.stature_m)
    on_review = replace(track, time_s=track.time_s * body.time_scale)
    return loaded_body(ref, on_review, body.stature_m, view)


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


def signals_of(
    piece: PieceAnalysis | None, body: LoadedBody | None, clock: ReviewClock
) -> SignalSet:
    """Every signal on the clock of the strokes: the force file's, then those of the picture."""
    from analysis.signals.signal import SignalSet

    own = SignalSet() if piece is None else piece.signals
    rate = 1.0 + clock.in_force.drift_ppm * 1e-6
    if body is None or (piece is not None and not (clock.is_lined_up and rate > 0.0)):
        return own
    seen = body.piece.signals
    return own.joined(seen if piece is None else SignalSet(tuple(_on_trace(seen, clock))))


def _on_trace(signals: SignalSet, clock: ReviewClock) -> Iterator[Signal]:
    """The same signals in seconds of the force recording."""
    from analysis.signals.signal import TRACE

    line = clock.in_force
    rate = 1.0 + line.drift_ppm * 1e-6
    made: dict[int, FloatArray] = {}  # all of a body share their moments
    for signal in signals:
        of = id(signal.time_s)
        made[of] = made[of] if of in made else _trace_times(signal.time_s, line)
        hole_s = None if signal.hole_s is None else signal.hole_s * rate
        values = signal.values
        if line.is_partial:  # where it does not hold nobody knows which stroke the picture shows
            values = np.where(_held(signal.time_s, line), values, np.nan)
        yield replace(signal, clock=TRACE, time_s=made[of], values=values, hole_s=hole_s)


def _trace_times(video_s: FloatArray, line: Alignment) -> FloatArray:
    """Seconds of the force recording, never running backwards."""
    if not line.further:
        return (video_s - line.offset_s) * (1.0 + line.drift_ppm * 1e-6)
    at = np.array([line.trace_time(float(at_s)) for at_s in video_s])
    forward: FloatArray = np.maximum.accumulate(at)
    return forward


def _held(video_s: FloatArray, line: Alignment) -> NDArray[np.bool_]:
    """Where a line-up holds; not at the first moment after a cut, so that nothing bridges it."""
    held = np.array([line.holds(float(at_s)) for at_s in video_s], dtype=bool)
    for part in line.parts:
        if part.from_s is not None and (after := np.flatnonzero(video_s >= part.from_s)).size:
            held[after[0]] = False
    return held
