"""Having the body followed: at once where there is one person, else with a word on who it is."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Final

from PySide6.QtCore import QObject, Signal

from app.body.errors import NotSetUpError, SeveralPeopleError
from app.review.parts.body import BodyClick, RemoveBody, SetBody, new_click
from app.window.features.body.frame_on_screen import FrameOnScreen
from app.window.features.body.networks import NetworkFetching
from app.window.features.body.work import FOLLOW
from app.window.session.footage import Footage
from app.window.session.playhead import Playhead
from app.window.session.review_session import ReviewSession
from app.window.tasks.jobs import Cancelled, Job, Jobs, Progress
from app.window.tasks.message_line import Messages, Offer

if TYPE_CHECKING:
    from app.review.parts.body_readings import Readings

TO_POINT: Final = ("hip", "head")
SEVERAL: Final = "There are several people here. Click the athlete's hip, then the head."
NEXT: Final = "Now click the athlete's head."
NO_FOOTAGE: Final = "Open footage first; the body is followed in its picture."
NOTHING_FOLLOWED: Final = "Nobody was followed in this film."
FORGOTTEN: Final = "What was followed of the body is forgotten, with the points you placed."


class Following(QObject):
    """Starts and takes in the following; while it asks, clicks on the picture are its own."""

    mode_changed = Signal(bool)  # clicks on the picture say who the athlete is

    def __init__(
        self,
        session: ReviewSession,
        playhead: Playhead,
        frame: FrameOnScreen,
        jobs: Jobs,
        messages: Messages,
        parent: QObject,
    ) -> None:
        super().__init__(parent)
        self._session, self._playhead, self._frame = session, playhead, frame
        self._jobs, self._messages = jobs, messages
        self._asks = False
        self._pointed: list[BodyClick] = []
        self._job: Job | None = None
        self._footage: Footage | None = None  # that is being followed in
        self._is_new = False
        self.networks = NetworkFetching(jobs, messages)
        session.recordings_changed.connect(self._take_recordings)
        session.body_changed.connect(self._report)

    def offer_by_hand(self, begin: Callable[[], None]) -> None:
        """Say what to offer where nothing finds a body on this machine."""
        self.networks.by_hand = begin

    @property
    def is_asking(self) -> bool:
        """Whether a click on the picture says who the athlete is."""
        return self._asks

    @property
    def is_running(self) -> bool:
        """Whether the film is being followed through now."""
        return self._job is not None and not self._job.is_cancelled

    def follow(self) -> None:
        """Follow the body through the film; asks who it is where there are several people."""
        if self._session.footage is None or self._session.review is None:
            self._messages.warn(NO_FOOTAGE)
        elif self.is_running:
            self._messages.say("The body is being followed already.")
        else:
            self._begin(())

    def point_at(self, x_px: float, y_px: float) -> None:
        """The athlete's hip, then the head, on the frame on screen; following begins then."""
        now_s = self._frame.moment()
        if now_s is None or not self._asks:
            return
        point = TO_POINT[len(self._pointed)]
        self._pointed.append(new_click(now_s, point, x_px, y_px, pointed=True))
        if len(self._pointed) < len(TO_POINT):
            self._messages.say(NEXT)
            return
        pointed = tuple(self._pointed)
        self.stop()
        self._begin(pointed)

    def stop(self) -> None:
        """Leave the asking; nothing was changed."""
        self._turn(False)

    def give_up(self) -> bool:
        """Take back the click on the hip; says whether there was one."""
        had = bool(self._pointed)
        self._pointed = []
        if had:
            self._messages.say(SEVERAL)
        return had

    def forget(self) -> None:
        """Drop what was followed and placed."""
        if self._session.state.body.readings is None:
            self._messages.say(NOTHING_FOLLOWED)
            return
        self._session.do(RemoveBody())
        self._messages.say(FORGOTTEN, Offer("Undo", self._session.undo))

    def _begin(self, pointed: tuple[BodyClick, ...]) -> None:
        footage = self._session.footage
        if footage is None:
            return
        from analysis.body.track import Click

        slowness, path, pool = footage.slowness, footage.path, self._jobs.process_pool
        clicks = tuple(Click(c.video_s * slowness, c.point, c.x_px, c.y_px) for c in pointed)

        def work(progress: Progress, cancelled: Cancelled) -> Readings:
            found: Readings = pool.call(FOLLOW, (path, clicks), progress, cancelled)
            return found

        def take(readings: Readings) -> None:
            self._job, self._footage = None, None
            self._is_new = True
            self._session.do(SetBody(readings, 1.0 / slowness, pointed))

        self._footage = footage
        self._job = self._jobs.run("Following the body", work, take, self._refuse)

    def _refuse(self, error: Exception) -> None:
        self._job, self._footage = None, None
        if isinstance(error, SeveralPeopleError):
            self._playhead.pause()
            self._turn(True)
            self._messages.say(SEVERAL)
        elif isinstance(error, NotSetUpError):
            self.networks.offer(self.follow)
        else:
            self._messages.warn(str(error))

    def _turn(self, on: bool) -> None:
        turned, self._asks, self._pointed = on != self._asks, on, []
        if turned:
            self.mode_changed.emit(on)

    def _take_recordings(self) -> None:
        self.stop()
        if self._job is not None and self._session.footage is not self._footage:
            self._job.cancel()  # of a film that is no longer on the bench
            self._job, self._footage = None, None

    def _report(self) -> None:
        """Say once what came of it."""
        body = self._session.submission.body
        if body is None or not self._is_new:
            return
        self._is_new = False
        count = len(body.strokes)
        strokes = "one stroke" if count == 1 else f"{count} strokes"
        self._messages.say(
            f"The body was followed: {strokes}, counted from the picture."
            if count
            else "The body was followed, but no stroke was found in the picture."
        )
