"""Placing handle, seat and what stands still, and having them followed through the film."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from PySide6.QtCore import QObject, Signal

from analysis.body.track import FIXED_POINTS
from app.review.parts.body import BodyClick, SetBody
from app.scene.machine_marks import NAMES
from app.submission.body import placed_clicks
from app.window.features.body.placing import Placing
from app.window.features.body.work import FOLLOW_MACHINE
from app.window.session.footage import Footage
from app.window.session.review_session import ReviewSession
from app.window.tasks.jobs import Cancelled, Job, Jobs, Progress
from app.window.tasks.message_line import Messages

if TYPE_CHECKING:
    from app.review.parts.body_readings import Readings

MOVING: Final = ("handle", "seat")
FOLLOWED: Final = "The machine was followed, and all is worked out anew with it."
LATER: Final = (
    "The body was followed anew meanwhile; place a point of the machine once more after it."
)


class Machine(QObject):
    """Asks for the machine's points one after the other, then follows them.

    Attributes
    ----------
    changed : what is placed or being followed changed
    """

    changed = Signal()

    def __init__(
        self,
        session: ReviewSession,
        placing: Placing,
        jobs: Jobs,
        messages: Messages,
        parent: QObject,
    ) -> None:
        super().__init__(parent)
        self._session, self._placing = session, placing
        self._jobs, self._messages = jobs, messages
        self._job: Job | None = None
        self._footage: Footage | None = None
        self._taken: frozenset[BodyClick] = frozenset()  # what was placed when it was followed last
        self._waits = False
        placing.wanting_ended.connect(self._take_end)
        placing.changed.connect(self.changed)
        session.body_changed.connect(self.changed)
        session.recordings_changed.connect(self._take_recordings)

    @property
    def is_running(self) -> bool:
        """Whether it is being followed now."""
        return self._job is not None and not self._job.is_cancelled

    @property
    def clicks(self) -> tuple[BodyClick, ...]:
        """What is placed of the machine."""
        names = (*MOVING, *FIXED_POINTS)
        return tuple(c for c in placed_clicks(self._session.state) if c.point in names)

    def place_moving(self) -> None:
        """Ask for handle and seat."""
        self._placing.want(MOVING)

    def place_fixed(self) -> None:
        """Ask for what stands still."""
        self._placing.want(FIXED_POINTS)

    def follow(self) -> None:
        """Follow what is placed through the film, in the background."""
        state, footage = self._session.state, self._session.footage
        readings, clicks = state.body.readings, self.clicks
        if readings is None or footage is None or not clicks:
            self._messages.say("Place handle, seat or fixed points of the machine first.")
            return
        if self.is_running:
            self._waits = True  # what was placed meanwhile is followed after it
            return
        from analysis.body.track import Click

        slowness, path, pool = footage.slowness, footage.path, self._jobs.process_pool
        placed = tuple(Click(c.video_s * slowness, c.point, c.x_px, c.y_px) for c in clicks)

        def work(progress: Progress, cancelled: Cancelled) -> Readings:
            found: Readings = pool.call(
                FOLLOW_MACHINE, (path, readings, placed), progress, cancelled
            )
            return found

        self._footage, self._taken, self._waits = footage, frozenset(clicks), False
        self._job = self._jobs.run(
            "Following the machine", work, lambda found: self._take(found, readings), self._refuse
        )
        self.changed.emit()

    def _take(self, found: Readings, before: Readings) -> None:
        self._job, self._footage = None, None
        state = self._session.state
        if state.body.readings != before:
            self._messages.say(LATER)
        else:
            pointed = tuple(c for c in state.body_clicks if c.pointed)
            self._session.do(SetBody(found, state.body.time_scale, pointed))
            self._messages.say(FOLLOWED)
        self.changed.emit()
        if self._waits:
            self.follow()

    def _refuse(self, error: Exception) -> None:
        self._job, self._footage = None, None
        self._messages.warn(str(error))
        self.changed.emit()

    def _take_end(self) -> None:
        """Whatever was placed anew is followed, once the hand is done."""
        if self.clicks and not frozenset(self.clicks) <= self._taken:
            self.follow()

    def _take_recordings(self) -> None:
        if self._job is not None and self._session.footage is not self._footage:
            self._job.cancel()  # of a film that is no longer on the bench
            self._job, self._footage = None, None
        self._taken = frozenset()
        self.changed.emit()


def named(points: tuple[str, ...]) -> str:
    """Points by the names on screen, as a list."""
    return ", ".join(NAMES[point] for point in points)
