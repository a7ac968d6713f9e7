"""Laying two pictures together: two places named in each, asked for one after the other."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, Protocol

from PySide6.QtCore import QObject, QPointF, Qt, Signal
from PySide6.QtGui import QColor, QMouseEvent, QPainter, QPaintEvent, QPen, QTransform, QWheelEvent
from PySide6.QtWidgets import QWidget

from app.window.widgets import theme

Side = Literal["left", "right"]
Point = tuple[float, float]
CROSS_PX = 11.0


@dataclass(frozen=True)
class Step:
    """One click that is asked for."""

    side: Side
    name: str
    words: str


_HEELS = "where the heels rest on the stretcher"
_RAIL = "the end of the seat rail behind the athlete"
STEPS = (
    Step("left", "stretcher", f"Left picture: click {_HEELS}"),
    Step("right", "stretcher", f"Right picture: click the same, {_HEELS}"),
    Step("left", "rail", f"Left picture: click {_RAIL}"),
    Step("right", "rail", f"Right picture: click the same, {_RAIL}"),
)


class LayingTogether(QObject):
    """Which place is asked for next, and what was named so far."""

    changed = Signal()
    finished = Signal(object)  # tuple of four points, in the order of STEPS

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._points: list[Point] = []
        self._on = False

    @property
    def is_on(self) -> bool:
        """Whether places are being asked for."""
        return self._on

    @property
    def step(self) -> Step | None:
        """The click that is asked for now."""
        return STEPS[len(self._points)] if self._on else None

    @property
    def words(self) -> str:
        """What to do next, for the coach."""
        step = self.step
        return "" if step is None else f"{len(self._points) + 1} of {len(STEPS)} · {step.words}"

    def points_of(self, side: Side) -> tuple[Point, ...]:
        """What was named in one picture so far, in its video pixels."""
        named = zip(self._points, STEPS, strict=False)
        return tuple(point for point, step in named if step.side == side)

    def begin(self) -> None:
        """Ask for the first place."""
        self._points, self._on = [], True
        self.changed.emit()

    def give_up(self) -> bool:
        """Forget what was named; says whether anything was asked for."""
        was, self._on, self._points = self._on, False, []
        if was:
            self.changed.emit()
        return was

    def take_back(self) -> None:
        """Forget the last place only."""
        if self._points:
            self._points.pop()
            self.changed.emit()

    def pick(self, side: Side, point: Point) -> None:
        """A click in a picture; one in the other picture than asked for counts for nothing."""
        step = self.step
        if step is None or step.side != side:
            return
        self._points.append(point)
        if len(self._points) == len(STEPS):
            points, self._points, self._on = tuple(self._points), [], False
            self.changed.emit()
            self.finished.emit(points)
        else:
            self.changed.emit()


class Pane(Protocol):
    """A picture whose video pixels are known."""

    def to_video(self, at: QPointF) -> Point:
        """Video pixels under a place of the widget."""

    def video_transform(self) -> QTransform:
        """From video pixels to widget pixels."""

    def wheelEvent(self, event: QWheelEvent) -> None:
        """Step or zoom."""


class ClickSheet(QWidget):
    """Lies over one picture while places are asked for, and shows what was named."""

    def __init__(self, side: Side, pane: Pane, laying: LayingTogether, parent: QWidget) -> None:
        super().__init__(parent)
        self._side, self._pane, self._laying = side, pane, laying
        self.setAccessibleName(f"Places in the {side} picture")
        laying.changed.connect(self._follow)
        self.hide()

    def wheelEvent(self, event: QWheelEvent) -> None:
        """Look closer, as without the sheet."""
        self._pane.wheelEvent(event)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """Name a place; the right button takes the last one back."""
        if event.button() == Qt.MouseButton.LeftButton:
            self._laying.pick(self._side, self._pane.to_video(event.position()))
        elif event.button() == Qt.MouseButton.RightButton:
            self._laying.take_back()

    def paintEvent(self, event: QPaintEvent) -> None:
        """Crosses where places were named; a frame round the picture that is asked for."""
        painter = QPainter(self)
        step = self._laying.step
        if step is not None and step.side == self._side:
            painter.setPen(QPen(QColor(theme.DARK.note), 2))
            painter.drawRect(self.rect().adjusted(1, 1, -1, -1))
        else:
            shade = QColor(theme.DARK.floor)
            shade.setAlpha(110)
            painter.fillRect(self.rect(), shade)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        place = self._pane.video_transform()
        named = self._laying.points_of(self._side)
        for point, name in zip(named, ("stretcher", "seat rail"), strict=False):
            _paint_cross(painter, place.map(QPointF(*point)), name)

    def _follow(self) -> None:
        step = self._laying.step
        self.setVisible(step is not None)
        asked = step is not None and step.side == self._side
        shape = Qt.CursorShape.CrossCursor if asked else Qt.CursorShape.ForbiddenCursor
        self.setCursor(shape)
        self.raise_()
        self.update()


def _paint_cross(painter: QPainter, at: QPointF, name: str) -> None:
    for colour, width in ((theme.DARK.floor, 5.0), (theme.DARK.note, 2.0)):
        painter.setPen(QPen(QColor(colour), width))
        painter.drawLine(at - QPointF(CROSS_PX, 0), at + QPointF(CROSS_PX, 0))
        painter.drawLine(at - QPointF(0, CROSS_PX), at + QPointF(0, CROSS_PX))
    painter.drawText(at + QPointF(CROSS_PX + 3, -4), name)
