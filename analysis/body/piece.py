"""A film's points cut into strokes, measured and put in order: what force alone used to tell."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Final

import numpy as np

from analysis.body.angles import METRES, BodySeries
from analysis.body.from_track import LEAST_KNOWN, Side, see_body
from analysis.body.lengths import KnownLength
from analysis.body.order import Order, order_of
from analysis.body.strokes import body_strokes
from analysis.body.track import BodyTrack
from analysis.body.view import View
from analysis.body.view_words import view_said
from analysis.force.piece import Spread, summary_of
from analysis.measures.measured_stroke import MeasuredStroke
from analysis.measures.measures import Measures, measures_of
from analysis.signals.signal import Signal
from analysis.signals.stroke import Stroke

FROM_PICTURE: Final = "from the picture"
NO_STROKES = (
    "No stroke was found in the picture: neither hands nor seat were seen to go there and back."
)
TURNS = (
    "Strokes are counted {label}: from where the hands turn to where they turn at the finish, to "
    "about {good_ms:.0f} ms. Force is there a little after the hands turn."
)
UNSURE_TURN = (
    "The picture is unclear where the hands turn into stroke {number}: that moment is known to "
    "about {good_ms:.0f} ms only."
)
# By the wrist alone, looked at fifteen times a second, however many frames the film has
# (docs/body.md: 95 of 100 within 13 to 40 ms, in the worst film within 60).
WRIST_TURN_S: Final = 0.05


@dataclass(frozen=True, eq=False)
class BodyAnalysis:
    """What is known of the body in a film.

    Attributes
    ----------
    track : the points it comes from
    series : angles and ways
    strokes : with `source` "body", on the clock of the film
    measures : one for each stroke, in the same order: rate, drive and recovery time and rhythm,
        and the length of the drive where a scale in metres is known
    order : of legs, trunk and arms; None where it cannot be told
    view : how the camera stood, as far as it is known
    stature_m : the athlete's, as somebody stated it
    remarks : what is left out or uncertain
    """

    track: BodyTrack
    series: BodySeries
    flywheel: Side
    strokes: tuple[Stroke, ...]
    measures: tuple[Measures, ...]
    order: Order | None
    remarks: tuple[str, ...]
    view: View | None = None
    stature_m: float | None = None

    @cached_property
    def usual(self) -> Mapping[str, Spread | None]:
        """Mean and spread of each measure over the whole strokes."""
        return summary_of(self.measures, self.strokes)

    @cached_property
    def typical(self) -> Stroke | None:
        """The whole stroke whose drive and recovery are nearest to the middle ones.

        One with a recovery before one without; None where no stroke is whole.
        """
        whole = [s for s in self.strokes if not s.remark]
        if not whole:
            return None
        drives = np.array([s.finish_s - s.catch_s for s in whole])
        rests = np.array(
            [np.nan if r is None else r[1] - r[0] for r in (s.recovery for s in whole)]
        )
        apart = np.abs(drives - np.median(drives))
        if np.isfinite(rests).any():
            apart = apart + np.nan_to_num(np.abs(rests - np.nanmedian(rests)), nan=np.inf)
        return whole[int(apart.argmin())]


def analyse_body(
    track: BodyTrack,
    view: View | None = None,
    stature_m: float | None = None,
    known: KnownLength | None = None,
    flywheel: Side | None = None,
) -> BodyAnalysis:
    """Cut, measure and order what the points of a film show; parameters as of `see_body`."""
    seen = see_body(track, view, stature_m, known, flywheel)
    body = seen.series
    strokes = body_strokes(body)
    handle = _handle(body)
    measures = tuple(measures_of(MeasuredStroke(stroke, None, handle)) for stroke in strokes)
    good_ms = 1000.0 * turns_good_to_s(track)
    said = TURNS.format(label=FROM_PICTURE, good_ms=good_ms) if strokes else NO_STROKES
    return BodyAnalysis(
        track, body, seen.flywheel, strokes, measures, order_of(body, strokes),
        (said, *_unsure_turns(strokes), *view_said(view), *seen.remarks), view, stature_m,
    )  # fmt: skip


def _unsure_turns(strokes: tuple[Stroke, ...]) -> tuple[str, ...]:
    """Say of which strokes the turn of the hands is less sure than of others."""
    return tuple(
        UNSURE_TURN.format(number=s.index + 1, good_ms=max(2000.0 * s.turn_sd_s, 50.0))
        for s in strokes
        if s.turn_sd_s > 0.0
    )


def turns_good_to_s(track: BodyTrack) -> float:
    """How far off a turn of the hands may be, s: a frame, by the wrist alone `WRIST_TURN_S`.

    0 where there are too few frames for strokes.
    """
    if len(track.time_s) < 2:
        return 0.0
    frame_s = float(np.median(np.diff(track.time_s)))
    handle = np.isfinite(track.of("handle")).all(axis=1)
    return frame_s if handle.mean() >= LEAST_KNOWN else max(frame_s, WRIST_TURN_S)


def _handle(body: BodySeries) -> Signal | None:
    """The handle's way without jitter, where it is in metres."""
    if body.length_unit != METRES:
        return None
    handle = body.calm().signal("handle_m")
    time_s, where = handle.known
    if len(time_s) < 2:
        return None
    return Signal(
        handle.name, handle.title, handle.unit, handle.digits, handle.clock, time_s, where,
        hole_s=handle.hole_s,
    )  # fmt: skip
