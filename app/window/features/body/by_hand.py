"""Following by hand alone: one stroke is placed, and carried through the film."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Final

from PySide6.QtCore import QObject

from app.review.parts.body import SetBody
from app.submission.body import clicks_of
from app.window.features.body.placing import Placing
from app.window.features.body.work import CARRY, READ_FRAMES
from app.window.session.footage import Footage
from app.window.session.playhead import Playhead
from app.window.session.review_session import ReviewSession
from app.window.tasks.jobs import Cancelled, Job, Jobs, Progress
from app.window.tasks.message_line import Messages

if TYPE_CHECKING:
    from app.review.parts.body_readings import Readings

NO_FOOTAGE: Final = "Open footage first; the body is placed in its picture."
RUNNING: Final = "Wait until the film is read; then the body can be placed."
FOUND_ALREADY: Final = (
    "The body was found in this film; drag a joint that is wrong, or go to the next point worth a "
    "click."
)
NO_STROKES: Final = (
    "Where strokes are cannot be told from this picture; place the joints on frames of your own "
    "choice, eight or more over one stroke."
)
NOTHING_LEFT: Final = "No point was placed, and nothing is kept."
LEFT: Final = "What was placed is kept; choose “Place the body by hand” again to go on."
CARRIED: Final = (
    "The stroke was carried through the film: {count} strokes, from the picture. “Next point worth "
    "a click” says what makes the angles surer."
)


class ByHand(QObject):
    """Goes from moment to moment of one stroke and asks for the joints; then carries them on."""

    def __init__(
        self,
        session: ReviewSession,
        playhead: Playhead,
        placing: Placing,
        jobs: Jobs,
        messages: Messages,
        parent: QObject,
    ) -> None:
        super().__init__(parent)
        self._session, self._playhead, self._placing = session, playhead, placing
        self._jobs, self._messages = jobs, messages
        self._job: Job | None = None
        self._footage: Footage | None = None
        self._asks = False  # joints of a moment are being placed for this
        self._read: Readings | None = None  # of this film; kept with the first point, not before
        self._waits: Callable[[], None] | None = None  # until the body is worked out
        self._at_s = 0.0
        self._points: tuple[str, ...] = ()
        self._passed: set[tuple[float, str]] = set()
        placing.wanting_ended.connect(self._take_end)
        session.body_changed.connect(self._take_body)
        session.recordings_changed.connect(self._take_recordings)

    @property
    def is_running(self) -> bool:
        """Whether the film is read, or points are carried through it."""
        return self._job is not None and not self._job.is_cancelled

    def begin(self) -> None:
        """Place the body by hand: read the film where that was not done, then ask."""
        footage, readings = self._session.footage, self._session.state.body.readings
        if footage is None or self._session.review is None:
            self._messages.warn(NO_FOOTAGE)
        elif self.is_running:
            self._messages.say(RUNNING)
        elif readings is None and self._read is None:
            self._run("Looking for strokes", READ_FRAMES, (footage.path,), footage, self._keep_read)
        elif readings is not None and _is_found(readings):
            self._messages.say(FOUND_ALREADY)
        else:
            self._passed.clear()
            self._ask()

    def _ask(self) -> None:
        """Go to the next moment of the stroke, or carry it on where all are placed."""
        from analysis.body.following.by_hand import MOMENTS, next_moment

        state, footage = self._session.state, self._session.footage
        readings = state.body.readings or self._read
        if readings is None or footage is None:
            return
        scale = 1.0 / footage.slowness
        clicks, now_s = clicks_of(state), self._playhead.time_s / scale
        found = next_moment(readings.observed, clicks, now_s, self._passed)
        if found is None:
            self._carry_or_say(readings)
            return
        self._at_s, self._points, self._asks = found.time_s, found.points, True
        self._playhead.pause()
        self._playhead.seek(found.time_s * scale)
        first = self._begin_body if state.body.readings is None else None
        self._placing.want(found.points, f"Moment {found.done + 1} of {MOMENTS}. ", first)

    def _carry_or_say(self, readings: Readings) -> None:
        import numpy as np

        footage = self._session.footage
        if footage is None:
            return
        if not np.isfinite(readings.observed.phase).any():
            self._begin_body()  # there must be one for joints to be placed freely
            self._messages.warn(NO_STROKES)
            return
        if self._session.state.body.readings is None:
            self._messages.say(NOTHING_LEFT)
            return
        placed = tuple(clicks_of(self._session.state))
        self._run(
            "Carrying the points through the film", CARRY, (footage.path, readings, placed),
            footage, self._keep_carried,
        )  # fmt: skip

    def _begin_body(self) -> None:
        """Keep what was read of the film: a point is placed in it."""
        read, self._read, footage = self._read, None, self._session.footage
        if read is not None and footage is not None:
            pointed = tuple(c for c in self._session.state.body_clicks if c.pointed)
            self._session.do(SetBody(read, 1.0 / footage.slowness, pointed))

    def _keep_read(self, found: Readings) -> None:
        self._read = found
        self._ask()

    def _keep_carried(self, found: Readings) -> None:
        before, self._waits = self._session.state.body.readings, self._report
        self._read = found
        self._begin_body()
        if found == before:
            self._take_body()  # nothing is worked out anew

    def _run(
        self, title: str, what: str, given: tuple[object, ...], footage: Footage,
        then: Callable[[Readings], None],
    ) -> None:  # fmt: skip
        pool = self._jobs.process_pool
        before = self._session.state.body.readings

        def work(progress: Progress, cancelled: Cancelled) -> Readings:
            found: Readings = pool.call(what, given, progress, cancelled)
            return found

        def take(found: Readings) -> None:
            self._job, self._footage = None, None
            if self._session.state.body.readings == before:  # nobody was followed meanwhile
                then(found)

        self._footage = footage
        self._job = self._jobs.run(title, work, take, self._refuse)

    def _take_end(self, whole: bool) -> None:
        """All joints of the moment were placed or left, or the coach has enough."""
        if not self._asks:
            return
        self._asks = False
        if not whole:
            kept = self._session.state.body.readings is not None
            self._messages.say(LEFT if kept else NOTHING_LEFT)
            return
        self._passed.update((self._at_s, name) for name in self._points)
        self._ask()

    def _take_body(self) -> None:
        then, self._waits = self._waits, None
        if then is not None:
            then()

    def _report(self) -> None:
        self._messages.say(CARRIED.format(count=len(self._session.submission.strokes)))

    def _refuse(self, error: Exception) -> None:
        self._job, self._footage = None, None
        self._messages.warn(str(error))

    def _take_recordings(self) -> None:
        self._asks, self._waits, self._read = False, None, None
        self._passed.clear()
        if self._job is not None and self._session.footage is not self._footage:
            self._job.cancel()  # of a film that is no longer on the bench
            self._job, self._footage = None, None


def _is_found(readings: Readings) -> bool:
    """Whether a detector found the body, so that nothing is left to be placed from nothing."""
    from analysis.body.track import Source

    return bool((readings.observed.source == Source.DETECTOR).any())
