"""The place of the picture, and what may stand there instead of the picture alone."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol

from PySide6.QtCore import QSize, Signal, SignalInstance
from PySide6.QtWidgets import QStackedWidget, QVBoxLayout, QWidget

from app.review.parts.comparisons import PairLook
from app.review.parts.walk_events import PICTURE


@dataclass(frozen=True)
class Shown:
    """What stands there: one of `walk_events`' PICTURE, STRIP or COMPARISON.

    Attributes
    ----------
    ref : which one; "" for the picture
    look : how the two pictures of a comparison are laid
    """

    what: str = PICTURE
    ref: str = ""
    look: PairLook | None = None


class StagePart(Protocol):
    """Something that may stand in the place of the picture alone."""

    what: str
    on_stage: SignalInstance  # it came, went, or looks different

    def shown(self) -> Shown | None:
        """What of it stands there; None while it does not."""

    def show(self, ref: str) -> None:
        """Come ("" goes away)."""

    def lay_instead(self, look: PairLook | None) -> None:
        """Lay it so while a walkthrough is played; None: as the review says."""


class Stage(QStackedWidget):
    """Page 0 holds the picture; features add pages and say what they show."""

    shown_changed = Signal()

    def __init__(self, picture: QWidget) -> None:
        super().__init__()
        self._parts: list[StagePart] = []
        self._welcome: QWidget | None = None
        home = QWidget()
        self._home = QVBoxLayout(home)
        self._home.setContentsMargins(0, 0, 0, 0)
        self._home.setSpacing(0)
        self._home.addWidget(picture, 1)
        self.addWidget(home)
        self.currentChanged.connect(lambda _index: self.shown_changed.emit())
        self.currentChanged.connect(lambda _index: self.updateGeometry())

    def minimumSizeHint(self) -> QSize:
        """What is shown now needs; a page that is not seen holds no window open."""
        page = self.currentWidget()
        return page.minimumSizeHint() if page is not None else super().minimumSizeHint()

    def put_around_picture(self, frame: QWidget, under: QWidget) -> None:
        """Let `frame`, which has taken the picture into it, stand at home; `under` lies below."""
        self._home.addWidget(frame, 1)
        self._home.addWidget(under)

    def go_home(self) -> None:
        """Bring the page of the picture to the front."""
        self.setCurrentIndex(0)

    def add_welcome(self, page: QWidget) -> None:
        """Add the page that says how to begin."""
        self._welcome = page
        self.addWidget(page)

    def welcome_back(self) -> None:
        """Bring the page that says how to begin to the front, where there is one."""
        if self._welcome is None:
            self.go_home()
        else:
            self.setCurrentWidget(self._welcome)

    def add_part(self, part: StagePart) -> None:
        """Let something be shown here; what was added last lies on top."""
        self._parts.append(part)
        part.on_stage.connect(self._tell)

    def part(self, what: str) -> StagePart | None:
        """Who shows a kind of thing."""
        return next((part for part in self._parts if part.what == what), None)

    def ref_of(self, what: str) -> str:
        """Which one of a kind is shown; "" for none."""
        part = self.part(what)
        shown = part.shown() if part is not None else None
        return shown.ref if shown is not None else ""

    def shown(self) -> Shown:
        """What stands in the picture's place now."""
        for part in reversed(self._parts):
            shown = part.shown()
            if shown is not None:
                return shown
        return Shown()

    def put(self, what: str, ref: str) -> None:
        """Show a thing of a kind, or ("") put that kind away; unknown kinds stay away."""
        part = self.part(what)
        if part is not None:
            part.show(ref)

    def lay_instead(self, look: PairLook | None) -> None:
        """Lay what is shown so while a walkthrough is played; None: as the review says."""
        for part in self._parts:
            part.lay_instead(look)

    def _tell(self, *_changed: object) -> None:
        self.shown_changed.emit()
