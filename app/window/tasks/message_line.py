"""The one door to the coach: what happened, what was kept, what to do, in one line in place."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from html import escape

from PySide6.QtCore import QObject, QSize, Qt, QTimer, Signal
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import (
    QFrame,
    QGridLayout,
    QHBoxLayout,
    QLabel,
    QSizePolicy,
    QToolButton,
    QWidget,
)

from app.review.values.text import clean_text
from app.window.tasks.running_work import RunningWork
from app.window.widgets import theme
from app.window.widgets.scroll_frame import ScrollFrame

STAYS_MS = 6000
LOW_PX = 34
HIGH_PX = 3 * LOW_PX  # a longer message scrolls: no screen is pushed full by it


@dataclass(frozen=True)
class Offer:
    """Something to do about a message, shown as a button behind it."""

    text: str
    run: Callable[[], None]


class Messages(QObject):
    """Where every part of the window says things; the line shows them."""

    said = Signal(str, bool, object)  # text, is a problem, tuple of offers

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._standing: tuple[str, tuple[Offer, ...]] = ("", ())  # the problem that is shown

    def say(self, text: str, *offers: Offer) -> None:
        """Tell the coach something that went well."""
        self._standing = ("", ())
        self.said.emit(clean_text(text), False, offers)

    def warn(self, text: str, *offers: Offer) -> None:
        """Tell the coach about a problem; it stays until something else is said."""
        self._standing = (text, offers)
        self.said.emit(clean_text(text), True, offers)

    def say_too(self, text: str, *offers: Offer) -> None:
        """Tell what went well by itself; a problem the coach may not have read stays before it."""
        if self._standing[0]:
            self.warn_too(text, *offers)
        else:
            self.say(text, *offers)

    def warn_too(self, text: str, *offers: Offer) -> None:
        """Tell of one more problem; the one that stands there stays, with its offers."""
        standing, offered = self._standing
        self.warn(f"{standing} {text}".strip(), *offered, *offers)


class MessageLine(QFrame):
    """The bottom line of the window: a message with its offers, and the work under way.

    Attributes
    ----------
    work : what runs, with its cancel
    """

    def __init__(self, messages: Messages, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setFixedHeight(LOW_PX)
        self._is_fitting = self._is_problem = False
        self._sign = QLabel("")
        theme.follow(self._dress)
        self._mode = QLabel("")
        self._mode.setProperty("role", "mode")
        self._mode.setAccessibleName("What the mouse does now")
        self._mode.hide()
        self._text = QLabel("")
        # A long message takes more lines; it never pushes the window past the edge of a screen.
        self._text.setWordWrap(True)
        self._text.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
        self._text.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        self._text.setAccessibleName("Message")
        self._text.setTextFormat(Qt.TextFormat.PlainText)  # a file's name is never markup
        self._scroll = ScrollFrame(self._text, QSize(120, 1))
        self._scroll.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self._offers = QHBoxLayout()
        self._end = QHBoxLayout()
        self.work = RunningWork()
        self._is_below = False
        grid = self._grid = QGridLayout(self)
        grid.setContentsMargins(10, 2, 10, 2)
        grid.setVerticalSpacing(2)
        grid.setColumnStretch(1, 1)
        signs = QHBoxLayout()
        signs.addWidget(self._mode)
        signs.addWidget(self._sign)
        grid.addLayout(signs, 0, 0)
        grid.addWidget(self._scroll, 0, 1)
        grid.addLayout(self._offers, 0, 2)
        grid.addLayout(self._end, 0, 4)
        self._lay_work(below=False)
        self.work.shown.connect(self._fit)
        self._quiet = QTimer(self)
        self._quiet.setSingleShot(True)
        self._quiet.timeout.connect(self._clear)
        messages.said.connect(self._show)

    def _dress(self) -> None:
        self._sign.setStyleSheet(f"color: {theme.PLAYHEAD};")

    @property
    def text(self) -> str:
        """What is said now."""
        return self._text.text()

    @property
    def mode(self) -> str:
        """The mode that is named now."""
        return self._mode.text()

    def show_mode(self, words: str) -> None:
        """Name the mode that is on; what was said while it was goes with it."""
        said = f"{words} · Esc ends it" if words else ""
        if said == self.mode:
            return
        ended = bool(self.mode) and not self._is_problem
        self._mode.setText(said)
        self._mode.setVisible(bool(said))
        if ended:
            self._clear()
        self._fit()

    def stand_at_end(self, sign: QWidget) -> None:
        """Give a sign that is always there the end of the line."""
        self._end.addWidget(sign)

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Make room for the words at the new width."""
        super().resizeEvent(event)
        self._fit()

    def _lay_work(self, below: bool) -> None:
        """The work under way beside the words, or in a line of its own below them."""
        self._is_below = below
        self._grid.addWidget(self.work, *((1, 1, 1, 3) if below else (0, 3, 1, 1)))

    def _fit(self) -> None:
        """Stand as high as the words need; work under way never takes their room."""
        if self._is_fitting:
            return
        self._is_fitting = True
        busy = not self.work.isHidden()
        self._lay_work(below=False)
        self._grid.activate()
        below = busy and self._needed_px() > LOW_PX
        if below:
            self._lay_work(below=True)
            self._grid.activate()
        needed = min(max(LOW_PX, self._needed_px()), HIGH_PX)
        self.setFixedHeight(needed + (LOW_PX if below else 0))
        self._is_fitting = False

    def _needed_px(self) -> int:
        """How high the words are at the width they have."""
        return self._text.heightForWidth(self._scroll.width()) + 6 if self.text else 0

    def _show(self, text: str, problem: bool, offers: tuple[Offer, ...]) -> None:
        self._clear()
        self._is_problem = problem
        self._sign.setText("▲" if problem else "")
        self._sign.setVisible(problem)
        self._text.setText(text)
        self._text.setToolTip(f"<p>{escape(text)}</p>")
        for offer in offers:
            button = QToolButton()
            button.setText(offer.text)
            button.clicked.connect(offer.run)
            self._offers.addWidget(button)
        self._fit()
        if not problem and not offers:
            self._quiet.start(STAYS_MS)

    def _clear(self) -> None:
        self._quiet.stop()
        self._text.setText("")
        self._sign.setText("")
        self._sign.hide()
        while (item := self._offers.takeAt(0)) is not None:
            widget = item.widget()
            if widget is not None:
                widget.hide()  # it lives on until the loop turns, and must not be pressed
                widget.deleteLater()
        self._fit()
