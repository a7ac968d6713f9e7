"""How the window is divided among what stands in it."""

from __future__ import annotations

from collections.abc import Iterable

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QBoxLayout, QFrame, QSplitter, QWidget

from app.window.actions.feature import Places
from app.window.tasks.message_line import MessageLine
from app.window.views.trace_view import TraceView

SIDE_WIDTH = 390


class Layout:
    """The picture with its rows, the curves and the tabs beside it, the trace below.

    Attributes
    ----------
    whole : what fills the window
    """

    def __init__(self, places: Places, trace: TraceView, line: MessageLine) -> None:
        self._curves = places.curves
        alone, self._beside = _in_row(
            (places.stroke_panel, *places.under_curve), places.stroke_panel
        )
        self._curves.insertWidget(0, alone)
        self._curves.setCurrentIndex(0)
        self._pictures = _split(Qt.Orientation.Vertical, (places.stage, 1))
        left = _column((self._pictures, *places.under_picture), self._pictures)
        self._right = _split(Qt.Orientation.Vertical, (self._curves, 410), (places.tabs, 290))
        above = _split(Qt.Orientation.Horizontal, (left, 890), (self._right, SIDE_WIDTH))
        above.setStretchFactor(0, 1)
        below = _column((*places.over_trace, trace), trace)
        halves = _split(Qt.Orientation.Vertical, (above, 640), (below, 140))
        halves.setStretchFactor(0, 1)
        self.whole = _column((halves, line), halves)

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
