"""Putting points of the body right by hand, and going where that helps most."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import TYPE_CHECKING, Final

from PySide6.QtCore import QObject, Signal

from app.review.parts.body import MoveClick, PlaceClick, RemoveClick, new_click
from app.scene.machine_marks import name_of
from app.scene.skeleton import SHOWN
from app.submission.body import clicks_of
from app.window.features.body.frame_on_screen import FrameOnScreen
from app.window.session.playhead import Playhead
from app.window.session.review_session import ReviewSession
from app.window.tasks.jobs import Cancelled, Job, Jobs, Progress
from app.window.tasks.message_line import Messages, Offer

if TYPE_CHECKING:
    from analysis.body.following.next_click import NextClick

NO_BODY: Final = "Follow the body first; then its points can be put right."
HOW: Final = (
    "Drag a point to where the joint is; click for one that is not shown; right-click a white one "
    "to take it back."
)
ALL_THERE: Final = "Every joint is shown here; drag the one that is wrong."
NONE_HERE: Final = "No point was placed by hand on this frame."
NOTHING_LEFT: Final = "No further point would make the angles surer."


class Placing(QObject):
    """While it is on, joints are dragged to where they are.

    Attributes
    ----------
    asked : joints that are worth placing on the frame that was gone to, the most helpful first
    wanted : points still to be clicked one by one, the next first; no joint is dragged meanwhile
    wanting_ended : all of them were clicked or left
    """

    mode_changed = Signal(bool)
    changed = Signal()
    wanting_ended = Signal(bool)  # whether all were asked for

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
        self._on = False
        self._job: Job | None = None
        self.asked: tuple[str, ...] = ()
        self.wanted: tuple[str, ...] = ()
        self._where = ""
        self._first: Callable[[], None] | None = None
        session.recordings_changed.connect(self.stop)
        session.body_changed.connect(self._take_body)
        playhead.moved.connect(self._take_moment)
        self._asked_at_s = 0.0

    @property
    def is_on(self) -> bool:
        """Whether the mouse takes hold of joints."""
        return self._on

    def toggle(self) -> None:
        """Begin to place points, or leave it."""
        if self._on:
            self.stop()
        elif self._session.submission.body is None:
            self._messages.warn(NO_BODY)
        else:
            self._playhead.pause()
            self._turn(True)
            self._messages.say(HOW)

    def stop(self) -> None:
        """Leave it; what was placed stays."""
        wanting, self.asked, self.wanted = bool(self.wanted), (), ()
        self._first = None
        self._turn(False)
        if wanting:
            self.wanting_ended.emit(False)

    def want(
        self, points: tuple[str, ...], where: str = "", first: Callable[[], None] | None = None
    ) -> None:
        """Ask for points, one click each: of the machine on any frame where they are seen.

        Parameters
        ----------
        where : said before each of them
        first : makes the body that the first of them is placed in, where there is none yet
        """
        if self._session.state.body.readings is None and first is None:
            self._messages.warn(NO_BODY)
            return
        self._playhead.pause()
        self.asked, self.wanted, self._where, self._first = (), points, where, first
        self._turn(True)
        self._ask_next()

    def place_wanted(self, x_px: float, y_px: float) -> None:
        """The point that is asked for is there."""
        if self.wanted:
            first, self._first = self._first, None
            if first is not None:
                first()
            self.place(self.wanted[0], x_px, y_px)
            self.skip()

    def skip(self) -> None:
        """Ask for the next point; this one stays as it is."""
        if len(self.wanted) > 1:
            self.wanted = self.wanted[1:]
            self._ask_next()
        elif self.wanted:
            self.asked, self.wanted = (), ()
            self._turn(False)
            self.wanting_ended.emit(True)

    def _ask_next(self) -> None:
        name = name_of(self.wanted[0])
        self._messages.say(f"{self._where}Click on the picture: {name}. Escape ends it.")
        self.changed.emit()

    def place(self, point: str, x_px: float, y_px: float) -> None:
        """Put a joint there on the frame on screen; all others are worked out anew."""
        now_s = self._frame.moment()
        if now_s is None:
            return
        self.asked = tuple(name for name in self.asked if name != point)
        before = self._frame.placed().get(point)
        if before is None:
            self._session.do(PlaceClick(new_click(now_s, point, x_px, y_px)))
        else:
            self._session.do(MoveClick(before.id, x_px, y_px))
        self.changed.emit()

    def take_back(self, point: str = "") -> None:
        """Take back a point placed on this frame; without a name the one placed last."""
        placed = self._frame.placed()
        click = placed.get(point) if point else next(reversed(placed.values()), None)
        if click is None:
            self._messages.say(NONE_HERE)
            return
        self._session.do(RemoveClick(click.id))
        self.changed.emit()
        said = f"The {name_of(click.point)} placed here is taken back; the film says where it is."
        self._messages.say(said, Offer("Undo", self._session.undo))

    def place_missing(self, x_px: float, y_px: float) -> None:
        """Put the first joint that is not shown there."""
        there = self._frame.joints()
        wanted = next((name for name in (*self.asked, *SHOWN) if name not in there), None)
        if wanted is None:
            self._messages.say(ALL_THERE)
            return
        self.place(wanted, x_px, y_px)
        self._messages.say(f"That is the {wanted}; undo if it is not.")

    def go_to_next(self) -> None:
        """Go to the frame where a point placed by hand makes the angles surest."""
        state = self._session.state
        readings, scale = state.body.readings, state.body.time_scale
        if readings is None or self._session.submission.body is None:
            self._messages.warn(NO_BODY)
            return
        if self._job is not None:
            self._job.cancel()
        clicks = clicks_of(state)

        def work(progress: Progress, cancelled: Cancelled) -> NextClick | None:
            from app.window.features.body.work import next_worth

            return next_worth(readings, clicks)

        self._job = self._jobs.run(
            "Looking for the next point", work, lambda found: self._go(found, scale), self._refuse
        )

    def _go(self, found: NextClick | None, scale: float) -> None:
        self._job = None
        if found is None or found.gain_rad <= 0.0:
            self._messages.say(NOTHING_LEFT)
            return
        at_s = found.time_s * scale
        self._playhead.pause()
        self._playhead.seek(at_s)
        self._turn(True)
        self.asked, self._asked_at_s = found.points, at_s
        self.changed.emit()
        before, after = math.degrees(found.before_rad), math.degrees(found.after_rad)
        self._messages.say(
            f"Place here: {', '.join(found.points)}. The angles of all frames are then sure to "
            f"{after:.1f}°, now {before:.1f}°."
        )

    def _refuse(self, error: Exception) -> None:
        self._job = None
        self._messages.warn(str(error))

    def _turn(self, on: bool) -> None:
        turned, self._on = on != self._on, on
        if turned:
            self.mode_changed.emit(on)
        self.changed.emit()

    def _take_body(self) -> None:
        if self._session.state.body.readings is None and self._first is None:
            self.stop()
        self.changed.emit()

    def _take_moment(self, time_s: float) -> None:
        """Elsewhere other points may be worth placing."""
        if self.asked and abs(self._playhead.wanted_s - self._asked_at_s) > 0.02:
            self.asked = ()
            self.changed.emit()
