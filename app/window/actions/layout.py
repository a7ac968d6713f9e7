"""How the window is divided among what stands in it."""

from __future__ import annotations

from collections.abc import Iterable

from PySide6.QtCore import QEvent, QObject, QSize, Qt
from PySide6.QtWidgets import QBoxLayout, QFrame, QSplitter, QWidget

from app.window.actions.feature import Places
from app.window.tasks.message_line import MessageLine
from app.window.views.trace_view import TraceView
from app.window.widgets.scroll_frame import ScrollFrame

SIDE_WIDTH = 390
NARROW_SIDE = 318
NARROW = 1100  # a window below it gives the picture what the side can spare
LEAST_SIDE = QSize(0, 90)  # below it the side would hardly show a line
LEAST = QSize(400, 220)  # where even that is too much, all of it scrolls


class Layout(QObject):
    """The picture with its rows, the curves and the tabs beside it, the trace below.

    Attributes
    ----------
    whole : what fills the window
    """

    def __init__(self, places: Places, tasks: QWidget, trace: TraceView, line: MessageLine) -> None:
        super().__init__(places.window)
        self._curves = places.curves
        alone, self._beside = _in_row(
            (places.stroke_panel, *places.under_curve), places.stroke_panel
        )
        self._curves.insertWidget(0, alone)
        self._curves.setCurrentIndex(0)
        self._pictures = _split(Qt.Orientation.Vertical, (places.stage, 1))
        left = _column((self._pictures, *places.under_picture), self._pictures)
        self._right = _split(Qt.Orientation.Vertical, (self._curves, 410), (places.tabs, 290))
        side = ScrollFrame(self._right, LEAST_SIDE)
        self._across = above = _split(Qt.Orientation.Horizontal, (left, 890), (side, SIDE_WIDTH))
        above.setStretchFactor(0, 1)
        self._is_narrow = False
        above.installEventFilter(self)
        below = _column((*places.over_trace, trace), trace)
        halves = _split(Qt.Orientation.Vertical, (above, 640), (below, 140))
        halves.setStretchFactor(0, 1)
        room = ScrollFrame(halves, LEAST)
        self.whole = _column((tasks, room, line), room)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Give the picture more of a window that has become narrow, and less again."""
        if watched is self._across and event.type() == QEvent.Type.Resize:
            wide = self._across.width()
            if self._is_narrow != (wide < NARROW):
                self._is_narrow = wide < NARROW
                side = NARROW_SIDE if self._is_narrow else SIDE_WIDTH
                self._across.setSizes([wide - side, side])
        return super().eventFilter(watched, event)

    @property
    def has_large_curve(self) -> bool:
        """Whether the curve has the lower half, under the picture."""
        return self._pictures.indexOf(self._curves) >= 0

    def toggle_large_curve(self) -> None:
        """Give the curve the lower half under the picture, or its place beside it again."""
        if self.has_large_curve:
            self._right.insertWidget(0, self._curves)
            self._right.setSizes([410, 290])
            self._beside.setDirection(QBoxLayout.Direction.TopToBottom)
        else:
            # Wide and low: what stands under the curve gives it its height.
            self._beside.setDirection(QBoxLayout.Direction.LeftToRight)
            self._pictures.addWidget(self._curves)
            self._pictures.setSizes([420, 580])


def _split(way: Qt.Orientation, *parts: tuple[QWidget, int]) -> QSplitter:
    splitter = QSplitter(way)
    for widget, _size in parts:
        splitter.addWidget(widget)
    splitter.setSizes([size for _widget, size in parts])
    splitter.setChildrenCollapsible(False)
    return splitter


def _column(widgets: Iterable[QWidget], stretch: QWidget) -> QFrame:
    return _in_row(widgets, stretch)[0]


def _in_row(widgets: Iterable[QWidget], stretch: QWidget) -> tuple[QFrame, QBoxLayout]:
    """From the top down, until the layout is turned."""
    frame = QFrame()
    column = QBoxLayout(QBoxLayout.Direction.TopToBottom, frame)
    column.setContentsMargins(0, 0, 0, 0)
    column.setSpacing(0)
    for widget in widgets:
        column.addWidget(widget, 1 if widget is stretch else 0)
    return frame, column
