"""A pen: what every way of marking by hand has in common, whatever it marks."""

from __future__ import annotations

from abc import abstractmethod
from collections.abc import Callable
from dataclasses import dataclass
from typing import Final, Generic, Protocol, TypeVar

from PySide6.QtCore import QObject, Signal

from app.review.parts.change import Change
from app.review.parts.marks import Point
from app.review.parts.state import ReviewState
from app.window.session.review_session import ReviewSession
from app.window.tasks.message_line import Messages

CHOOSE: Final = "choose"  # the tool that takes hold of what is drawn


class Drawn(Protocol):
    """What a pen leaves behind: one of the review's marks."""

    @property
    def id(self) -> str:
        """Never changes."""

    @property
    def kind(self) -> str:
        """Which of the tools drew it."""

    @property
    def colour(self) -> str:
        """One of MARK_COLOURS."""

    @property
    def text(self) -> str:
        """Its words."""


M = TypeVar("M", bound=Drawn)


class Pen(QObject):
    """Out or put away, with something selected; a drag is one undo step."""

    changed = Signal()  # mode, tool, colour, what is shown or what is selected
    mode_changed = Signal(bool)

    def __init__(
        self, session: ReviewSession, messages: Messages, parent: QObject | None = None
    ) -> None:
        super().__init__(parent)
        self._session = session
        self._messages = messages
        self._on = False
        self._chosen = ""
        self._drags = 0
        session.recordings_changed.connect(lambda: self.stop())

    @property
    def is_on(self) -> bool:
        """Whether the left button is the pen."""
        return self._on

    def stop(self) -> None:
        """Put the pen away; what is marked stays."""
        self._turn(False)

    def choose(self, mark_id: str) -> None:
        """Select something; "" selects nothing."""
        self._chosen = mark_id
        self.changed.emit()

    def begin_drag(self) -> None:
        """The next moves are one drag, and one undo step."""
        self._drags += 1

    def _turn(self, on: bool) -> None:
        turned, self._on = on != self._on, on
        if turned:
            self.mode_changed.emit(on)
        self.changed.emit()

    def _do(self, change: Change) -> None:
        self._session.do(change)
        self.changed.emit()


@dataclass(frozen=True)
class Kept(Generic[M]):
    """Where a pen's marks stand in the review, and how they are changed there.

    Attributes
    ----------
    edit : takes the id, and what is to change by name
    none_chosen : what is said when there is no selected mark
    """

    marks_of: Callable[[ReviewState], tuple[M, ...]]
    edit: Callable[..., Change]
    delete: Callable[[str], Change]
    none_chosen: str


class MarkPen(Pen, Generic[M]):
    """A pen with tools that draws marks, and changes them."""

    def __init__(
        self,
        session: ReviewSession,
        messages: Messages,
        kept: Kept[M],
        parent: QObject | None = None,
    ) -> None:
        super().__init__(session, messages, parent)
        self._kept = kept
        self._tool = "line"
        session.state_changed.connect(self._take_state)

    @property
    def tool(self) -> str:
        """What is drawn with, or CHOOSE."""
        return self._tool

    @property
    def selected(self) -> M | None:
        """The mark chosen, also while it is not on screen."""
        marks = self._kept.marks_of(self._session.state)
        return next((mark for mark in marks if mark.id == self._chosen), None)

    @property
    @abstractmethod
    def colour(self) -> str:
        """Colour of the next mark."""

    @property
    @abstractmethod
    def shown(self) -> tuple[M, ...]:
        """The marks on screen."""

    @abstractmethod
    def move(self, points: tuple[Point, ...], moved: int | None = None, gesture: str = "") -> None:
        """Put the points of the selected mark elsewhere.

        Parameters
        ----------
        moved : the point that is dragged, None for all of them
        gesture : moves of one are one undo step; "" for the drag that was begun
        """

    def toggle(self) -> None:
        """Take the pen, or put it away."""
        if self._on:
            self.stop()
        else:
            self.use(self._tool)

    def use(self, tool: str) -> None:
        """Draw with a tool from now on."""
        self._tool = tool
        if tool != CHOOSE:
            self._chosen = ""
        self._turn(True)

    def stop(self) -> None:
        """Put the pen away; what is drawn stays."""
        self._turn(False)  # words being typed still find their mark
        self.choose("")

    def nudge(self, dx: int, dy: int) -> None:
        """Move the selected mark one step to the right (dx 1), down (dy 1), left or up, as seen."""
        mark = self._asked()
        if mark is not None:
            self.move(self._shifted(mark, dx, dy), gesture=f"nudge {mark.id}")
            self.changed.emit()

    @abstractmethod
    def _shifted(self, mark: M, dx: int, dy: int) -> tuple[Point, ...]:
        """The points of a mark so many steps to the right and down, as seen."""

    def reword(self, text: str) -> None:
        """Change the words of the selected mark."""
        mark = self.selected
        if mark is not None and text != mark.text:
            self._do(self._kept.edit(mark.id, text=text))

    def delete(self) -> None:
        """Take the selected mark away."""
        mark = self._asked()
        if mark is not None:
            self._do(self._kept.delete(mark.id))
            self.choose("")
            self._messages.say("The mark was deleted; undo brings it back.")

    def _gesture(self, gesture: str) -> str:
        return gesture or f"drag {self._drags}"

    def _recolour(self, colour: str) -> None:
        """Give the selected mark a colour."""
        mark = self.selected
        if mark is not None and mark.colour != colour:
            self._session.do(self._kept.edit(mark.id, colour=colour))

    def _asked(self) -> M | None:
        """The selected mark, for a deed that needs one."""
        mark = self.selected
        if mark is None:
            self._messages.say(self._kept.none_chosen)
        return mark

    def _take_state(self, state: ReviewState, before: ReviewState) -> None:
        if self._kept.marks_of(state) != self._kept.marks_of(before):
            self.changed.emit()
