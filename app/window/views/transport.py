"""Moving through the review: by frames, by strokes, at a speed, round a loop."""

from __future__ import annotations

from PySide6.QtCore import QObject

from analysis.clocks.alignment import Alignment
from app.review.parts.state import ReviewState
from app.submission.clock import ReviewClock
from app.window.session.playhead import Playhead
from app.window.session.review_session import ReviewSession
from app.window.tasks.message_line import Messages
from app.window.views.stroke_clock import StrokeClock

NO_STROKES = "There is no stroke here to loop; add a force file, or follow the body, first."
FRAME_S = 1.0 / 30.0  # without footage, what one step is
# From the picture alone nobody knows when the force comes.
_SEEN = {"catch": "turn of the hands", "finish": "turn at the finish"}


class Transport(QObject):
    """Turns "next catch" and its like into a place for the playhead."""

    def __init__(
        self,
        playhead: Playhead,
        session: ReviewSession,
        messages: Messages,
        parent: QObject | None = None,
    ) -> None:
        super().__init__(parent)
        self._playhead = playhead
        self._session = session
        self._messages = messages
        self._clock: StrokeClock | None = None
        self._frame_s = FRAME_S
        session.recordings_changed.connect(self._take_recordings)
        session.body_changed.connect(self._renew)
        session.state_changed.connect(self._take_state)

    @property
    def clock(self) -> StrokeClock | None:
        """The strokes on the video clock; None without strokes."""
        return self._clock

    def next_catch(self) -> None:
        """Go to the next catch."""
        self._go_on("catch")

    def previous_catch(self) -> None:
        """Go to the catch before."""
        self._go_back("catch")

    def next_finish(self) -> None:
        """Go to the next finish."""
        self._go_on("finish")

    def previous_finish(self) -> None:
        """Go to the finish before."""
        self._go_back("finish")

    def loop_stroke(self) -> None:
        """Loop the stroke under the playhead, or stop looping."""
        if self._playhead.loop is not None:
            self._playhead.set_loop(None)
            return
        stroke = self._clock.stroke_at(self._playhead.time_s) if self._clock else None
        if self._clock is None or stroke is None:
            self._messages.warn(NO_STROKES)
            return
        self._playhead.set_loop(self._clock.span_of(stroke))

    def go_to_start(self) -> None:
        """Go to the first moment."""
        self._playhead.seek(self._playhead.range.start_s)

    def go_to_end(self) -> None:
        """Go to the last moment."""
        self._playhead.seek(self._playhead.range.end_s)

    def _go_on(self, of: str) -> None:
        if self._clock is not None:
            self._go(self._clock.next_after(self._shown_until(), of), of, "after")

    def _go_back(self, of: str) -> None:
        if self._clock is not None:
            where = self._clock.last_before(self._playhead.wanted_s, self._frame_s, of)
            self._go(where, of, "before")

    def _go(self, where_s: float | None, of: str, side: str) -> None:
        if where_s is None:
            seen = self._clock is not None and self._clock.is_from_picture
            self._messages.say(f"There is no {_SEEN[of] if seen else of} {side} this one.")
        else:
            self._playhead.seek(where_s)

    def _shown_until(self) -> float:
        """A catch within the frame shown was reached already.

        The wish stays at the catch itself while the frame shown began a little before it.
        """
        return max(self._playhead.wanted_s, self._playhead.time_s)

    def _take_recordings(self) -> None:
        footage = self._session.footage
        fps = footage.facts.fps if footage is not None else 0.0
        self._frame_s = 1.0 / fps if fps else FRAME_S
        self._renew()

    def _take_state(self, state: ReviewState, before: ReviewState) -> None:
        if ReviewClock.of(state) != ReviewClock.of(before):
            self._renew()

    def _renew(self) -> None:
        shown = self._session.submission
        if not shown.strokes:
            self._clock = None
        elif shown.piece is None:
            self._clock = StrokeClock(shown.strokes, Alignment())  # the film's own clock
        else:
            self._clock = StrokeClock(shown.strokes, shown.clock.in_force, shown.piece.trace)
