"""A row of tools while a pen is out: everything its keys do, for the mouse."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from functools import partial
from typing import Any, Protocol

from PySide6.QtCore import QSize, Qt
from PySide6.QtGui import QAction, QColor, QIcon, QPainter, QPixmap
from PySide6.QtWidgets import QHBoxLayout, QToolButton, QWidget

from app.review.parts.marks import MARK_COLOURS
from app.window.features.annotations.pen import MarkPen, Pen
from app.window.views.mark_paint import paint_runs
from app.window.widgets import theme
from app.window.widgets.overflow_tool_bar import OverflowToolBar

ICON_PX = 22
TOOLS_GIVE = 10  # tools make room before what is done with a mark
_HAND = ((5, 3), (5, 17), (9, 13), (12, 19), (14, 18), (11, 12), (17, 12), (5, 3))


class Put(Protocol):
    """Where a button goes: the larger `gives`, the sooner it makes room; `name` in the menu."""

    def __call__(self, widget: QWidget, gives: int = 0, name: str = "") -> None:
        """Add it at the end."""


class PenBar(QWidget):
    """Buttons of a pen; hidden while it is put away.

    Parameters
    ----------
    actions : every action by its name
    """

    def __init__(self, pen: Pen, actions: Mapping[str, QAction]) -> None:
        super().__init__()
        self._pen = pen
        self._actions = actions
        self._deeds: dict[str, QToolButton] = {}
        pen.changed.connect(self._show)
        pen.mode_changed.connect(self.setVisible)
        self.setVisible(False)

    def _add_deeds(self, put: Put, deeds: Iterable[tuple[str, str, int]]) -> None:
        """Add a button for each action's name, with its word and when it makes room."""
        for name, text, gives in deeds:
            button = _button(self._actions[name])
            button.setText(text)
            self._deeds[name] = button
            put(button, gives, self._actions[name].text())

    def _show(self) -> None:
        """Show what the pen has come to."""


class MarkBar(PenBar):
    """Tools, colours and what can be done with the selected mark.

    Parameters
    ----------
    done : the name of the deed that needs no mark
    """

    _pen: MarkPen[Any]

    def __init__(self, pen: MarkPen[Any], actions: Mapping[str, QAction], done: str) -> None:
        super().__init__(pen, actions)
        self._done = done
        self._tools: dict[str, QToolButton] = {}
        self._colours: dict[str, QToolButton] = {}

    def _add_tools(self, put: Put, tools: Iterable[tuple[str, str, QIcon]], stay: int = 0) -> None:
        """Add a button for each tool, its action's name, and its sketch; the first few stay."""
        for place, (tool, name, icon) in enumerate(tools):
            self._tools[tool] = button = _button(self._actions[name])
            button.setCheckable(True)
            button.setIcon(icon)
            put(button, TOOLS_GIVE + place if place >= stay else 0, self._actions[name].text())

    def _add_colours(self, put: Put, take: Callable[[str], None]) -> None:
        for colour in MARK_COLOURS:
            self._colours[colour] = _swatch(colour, partial(take, colour))
            put(self._colours[colour], TOOLS_GIVE, f"Colour {colour}")

    def _show(self) -> None:
        for tool, button in self._tools.items():
            button.setChecked(tool == self._pen.tool)
        for colour, button in self._colours.items():
            button.setChecked(colour == self._pen.colour)
        for name, button in self._deeds.items():
            button.setEnabled(self._pen.selected is not None or name == self._done)


def overflow_tool_bar(bar: PenBar) -> OverflowToolBar:
    """Give a bar the one row all of it stands in, which gives way where the window is narrow."""
    row = OverflowToolBar()
    whole = QHBoxLayout(bar)
    whole.setContentsMargins(0, 0, 0, 0)
    whole.addWidget(row)
    return row


def in_row(row: QHBoxLayout) -> Put:
    """Put buttons in a row that never gives way."""

    def put(widget: QWidget, gives: int = 0, name: str = "") -> None:
        row.addWidget(widget)

    return put


def sketched(sketch: Callable[[QPainter], None]) -> QIcon:
    """Make an icon of what is painted in a box of ICON_PX."""
    pixmap = QPixmap(ICON_PX * 2, ICON_PX * 2)
    pixmap.setDevicePixelRatio(2.0)
    pixmap.fill(Qt.GlobalColor.transparent)
    with QPainter(pixmap) as painter:
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        sketch(painter)
    return QIcon(pixmap)


def sketch_hand(painter: QPainter) -> None:
    """The pointer of the tool that takes hold."""
    paint_runs(painter, (_HAND,), "blue", 1.2)


def _swatch(colour: str, run: Callable[[], None]) -> QToolButton:
    """Give a button for one of the colours."""
    button = _bare_button()
    button.setCheckable(True)

    def dot(painter: QPainter) -> None:
        painter.setBrush(QColor(MARK_COLOURS[colour]))
        painter.setPen(QColor(theme.DARK.floor))
        painter.drawEllipse(3, 3, ICON_PX - 6, ICON_PX - 6)

    button.setIcon(sketched(dot))
    button.setAccessibleName(f"Colour {colour}")
    button.setToolTip(f"Draw in {colour}; the selected mark takes the colour.")
    button.clicked.connect(lambda: run())
    return button


def _bare_button() -> QToolButton:
    button = QToolButton()
    button.setIconSize(QSize(ICON_PX, ICON_PX))
    # The keys do all of this; a focused button would swallow the space bar.
    button.setFocusPolicy(Qt.FocusPolicy.NoFocus)
    return button


def _button(action: QAction) -> QToolButton:
    """Give a button that does what an action does, and says its key."""
    button = _bare_button()
    key = action.shortcut().toString()
    button.setAccessibleName(action.text())
    button.setToolTip(f"{action.text()}: {action.statusTip()}" + (f"\nKey: {key}" if key else ""))
    button.clicked.connect(action.trigger)
    return button
