"""A walkthrough as a strip of time: its voice, when the film ran, cuts, captions, the span."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QBrush, QColor, QMouseEvent, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QSizePolicy, QWidget

from app.review.parts.walk_events import Ran
from app.review.parts.walkthroughs import Walkthrough
from app.window.widgets import theme

TALL_PX = 50
LANE_PX = 9  # the lane of captions below, and of the running film above
DRAG_PX = 4.0


class WalkTimeline(QWidget):
    """A click goes there; a drag chooses a span."""

    seek_wanted = Signal(float)
    span_wanted = Signal(object, object)  # from, to; None and None for no span
    caption_picked = Signal(str)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.setFixedHeight(TALL_PX)
        self.setAccessibleName("The walkthrough in time")
        self.setToolTip(
            "Click to go there, drag to choose a span.\n"
            "Line above: the film runs. Hatched: cut out. Bars below: captions."
        )
        self._walk: Walkthrough | None = None
        self._runs: list[tuple[float, float]] = []
        self._shape: NDArray[np.float64] = np.zeros(1)
        self._at_s = 0.0
        self._span: tuple[float, float] | None = None
        self._begun_s: float | None = None
        self._pressed: QPointF | None = None

    def sizeHint(self) -> QSize:
        """Give all the room there is."""
        return QSize(200, TALL_PX)

    def set_walk(self, walk: Walkthrough | None, shape: NDArray[np.float64]) -> None:
        """Show this walkthrough; `shape` is the height of its voice in columns, 0-1."""
        if walk is None or self._walk is None or walk.score is not self._walk.score:
            self._runs = _runs(walk)
        self._walk, self._shape = walk, shape
        self.update()

    def set_place(
        self, at_s: float, span: tuple[float, float] | None, begun_s: float | None
    ) -> None:
        """Show where the playing stands and what is chosen."""
        self._at_s, self._span, self._begun_s = at_s, span, begun_s
        self.update()

    def x_of(self, at_s: float) -> float:
        """Where a second of the recording lies."""
        length = self._walk.length_s if self._walk is not None else 1.0
        return 1 + (self.width() - 2) * at_s / length

    def at_x(self, x: float) -> float:
        """The second that lies there."""
        length = self._walk.length_s if self._walk is not None else 1.0
        return min(max((x - 1) / max(self.width() - 2, 1), 0.0), 1.0) * length

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """Take a caption, or begin a span."""
        if self._walk is None or event.button() != Qt.MouseButton.LeftButton:
            return
        at = event.position()
        if at.y() > self.height() - LANE_PX:
            at_s = self.at_x(at.x())
            for caption in self._walk.captions:
                if caption.from_s <= at_s <= caption.to_s:
                    self.caption_picked.emit(caption.id)
                    return
        self._pressed = at
        self.seek_wanted.emit(self.at_x(at.x()))

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        """Drag a span."""
        if self._pressed is None:
            return
        if abs(event.position().x() - self._pressed.x()) >= DRAG_PX:
            first, last = self.at_x(self._pressed.x()), self.at_x(event.position().x())
            self.span_wanted.emit(first, last)

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        """A click without a drag lets the span go."""
        pressed, self._pressed = self._pressed, None
        if pressed is not None and abs(event.position().x() - pressed.x()) < DRAG_PX:
            self.span_wanted.emit(None, None)

    def paintEvent(self, event: QPaintEvent) -> None:
        """Paint the voice, the lanes, what is cut out, the span and where it stands."""
        painter = QPainter(self)
        painter.fillRect(self.rect(), QColor(theme.FLOOR))
        walk = self._walk
        if walk is None:
            return
        top, bottom = float(LANE_PX), float(self.height() - LANE_PX)
        self._paint_voice(painter, top, bottom)
        for first, last in self._runs:
            left, right = self.x_of(first), self.x_of(last)
            painter.fillRect(
                QRectF(left, 3, max(right - left, 1.5), 3), QColor(theme.TARGET_BRIGHT)
            )
        for caption in walk.captions:
            left, right = self.x_of(caption.from_s), self.x_of(caption.to_s)
            bar = QRectF(left, bottom + 2, max(right - left - 1, 2), LANE_PX - 3)
            painter.fillRect(bar, QColor(theme.NOTE))
        for cut in walk.cuts:
            self._paint_cut(painter, self.x_of(cut.from_s), self.x_of(cut.to_s))
        if self._span is not None:
            left, right = (self.x_of(s) for s in self._span)
            shade = QColor(theme.FORCE)
            shade.setAlpha(60)
            painter.fillRect(QRectF(left, 0, right - left, self.height()), shade)
            painter.setPen(QPen(QColor(theme.TEXT), 1))
            painter.drawRect(QRectF(left, 0, right - left, self.height() - 1))
        if self._begun_s is not None:
            x = self.x_of(self._begun_s)
            painter.setPen(QPen(QColor(theme.TEXT), 1, Qt.PenStyle.DashLine))
            painter.drawLine(QPointF(x, 0), QPointF(x, self.height()))
        x = self.x_of(self._at_s)
        painter.fillRect(QRectF(x - 1, 0, 2, self.height()), QColor(theme.PLAYHEAD))

    def _paint_voice(self, painter: QPainter, top: float, bottom: float) -> None:
        middle, count = (top + bottom) / 2, len(self._shape)
        for column in range(0, self.width(), 2):
            share = self._shape[min(int(column / self.width() * count), count - 1)]
            tall = max(1.0, float(share) * (bottom - top - 4))
            painter.fillRect(
                QRectF(float(column), middle - tall / 2, 1.4, tall), QColor(theme.FORCE)
            )

    def _paint_cut(self, painter: QPainter, left: float, right: float) -> None:
        box = QRectF(left, 0, max(right - left, 2.0), self.height())
        ground = QColor(theme.FLOOR)
        ground.setAlpha(200)
        painter.fillRect(box, ground)
        painter.fillRect(box, QBrush(QColor(theme.QUIET), Qt.BrushStyle.BDiagPattern))
        if box.width() > 30:
            plate = QRectF(box.center().x() - 13, box.center().y() - 8, 26, 16)
            painter.fillRect(plate, QColor(theme.FLOOR))
            painter.setPen(QColor(theme.TEXT))
            painter.drawText(plate, Qt.AlignmentFlag.AlignCenter, "cut")


def _runs(walk: Walkthrough | None) -> list[tuple[float, float]]:
    """When the film ran."""
    if walk is None:
        return []
    spans: list[tuple[float, float]] = []
    begun: float | None = None
    for event in walk.score.events:
        if isinstance(event, Ran):
            if begun is not None:
                spans.append((begun, event.at_s))
            begun = event.at_s if event.rate != 0.0 else None
    if begun is not None:
        spans.append((begun, walk.length_s))
    return spans
