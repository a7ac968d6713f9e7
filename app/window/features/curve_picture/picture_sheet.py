"""The picture in which a curve is read: corners, ticks and lines on it, each to be dragged."""

from __future__ import annotations

from typing import Final

import numpy as np
from PySide6.QtCore import QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import (
    QColor,
    QImage,
    QKeyEvent,
    QMouseEvent,
    QPainter,
    QPainterPath,
    QPaintEvent,
    QPen,
    QPolygonF,
    QWheelEvent,
)
from PySide6.QtWidgets import QWidget

from analysis.reading_pictures.flattening import Pixels, Points
from app.window.features.curve_picture.reader import TICKS, Setting, Stroke
from app.window.widgets import theme

GRAB_PX: Final = 11.0
LENS_PX: Final = 132
LENS_TIMES: Final = 4.0
_INKS: Final = ("#00e5ff", "#ff5ad1", "#ffe14a", "#7dff6a", "#ff9440")
_MOST_ZOOM: Final = 12.0
ARROWS: Final = {
    Qt.Key.Key_Left: (-1.0, 0.0),
    Qt.Key.Key_Right: (1.0, 0.0),
    Qt.Key.Key_Up: (0.0, -1.0),
    Qt.Key.Key_Down: (0.0, 1.0),
}


class PictureSheet(QWidget):
    """Shows the picture and what is known of it; a wheel zooms, a lens helps to place.

    Attributes
    ----------
    armed : what a click does: the name of a tick, "pick" a line, "pen" along one, or "corners"
    """

    placed = Signal(str, object)  # name of a tick, or "corner 0" to 3; (x, y) in the picture
    released = Signal(str)  # the hand let go of it
    clicked = Signal(object)  # (x, y) on a line
    drawn = Signal(object)  # (n, 2) along a line

    def __init__(self, pixels: Pixels, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAccessibleName("The picture the curve is read from")
        self.setMouseTracking(True)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setMinimumSize(260, 200)
        self._pixels = np.ascontiguousarray(pixels)
        height, width = pixels.shape[:2]
        self._image = QImage(
            self._pixels.data, width, height, 3 * width, QImage.Format.Format_RGB888
        )
        self.armed = "corners"
        self._setting = Setting()
        self._strokes: tuple[Stroke, ...] = ()
        self._held, self._last = "", ""
        self._pen: list[tuple[float, float]] = []
        self._pointer: QPointF | None = None
        self._zoom, self._middle = 1.0, QPointF(width / 2.0, height / 2.0)

    def show_all(self, setting: Setting, strokes: tuple[Stroke, ...]) -> None:
        """Show this much."""
        self._setting, self._strokes = setting, strokes
        self.update()

    def arm(self, what: str) -> None:
        """Let the next click do something else."""
        self.armed = what
        self._pen = []
        cross = Qt.CursorShape.CrossCursor
        self.setCursor(Qt.CursorShape.ArrowCursor if what == "corners" else cross)
        self.update()

    def sizeHint(self) -> QSize:
        """As much as there is."""
        return QSize(720, 560)

    @property
    def scale(self) -> float:
        """Pixels of the widget for each of the picture."""
        width, height = self._image.width(), self._image.height()
        return self._zoom * min(self.width() / width, self.height() / height)

    def to_widget(self, x: float, y: float) -> QPointF:
        """Where a place of the picture is shown."""
        centre = QPointF(self.width() / 2.0, self.height() / 2.0)
        return centre + (QPointF(x + 0.5, y + 0.5) - self._middle) * self.scale

    def to_picture(self, at: QPointF) -> tuple[float, float]:
        """Which place of the picture is shown there, within it."""
        centre = QPointF(self.width() / 2.0, self.height() / 2.0)
        point = (at - centre) / self.scale + self._middle
        x = min(max(point.x() - 0.5, 0.0), self._image.width() - 1.0)
        y = min(max(point.y() - 0.5, 0.0), self._image.height() - 1.0)
        return x, y

    def handles(self) -> dict[str, tuple[float, float]]:
        """What can be dragged, by name: ticks before corners, for they are smaller."""
        needed = self._setting.needed()
        ticks = {name: at for name, at in self._setting.places if name in needed}
        corners = self._setting.corners or ()
        return ticks | {f"corner {i}": at for i, at in enumerate(corners)}

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """Take a handle, place a tick, point at a line, or put the pen down."""
        if event.button() != Qt.MouseButton.LeftButton:
            return
        at, place = event.position(), self.to_picture(event.position())
        # A tick that has no place yet gets it, however near another one is: axes meet at zero.
        placing = self.armed in TICKS and self.armed not in dict(self._setting.places)
        self._held = "" if placing or self.armed == "pen" else self._handle_at(at)
        if self._held:
            self._last = self._held
        elif self.armed in TICKS:
            self._held = self._last = self.armed
            self.placed.emit(self._held, place)
        elif self.armed == "pick":
            self.clicked.emit(place)
        elif self.armed == "pen":
            self._pen = [place]
        self.update()

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        """Drag, draw, or only look."""
        self._pointer = event.position()
        place = self.to_picture(event.position())
        if self._held:
            self.placed.emit(self._held, place)
        elif self._pen:
            self._pen.append(place)
        self.update()

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        """Let go."""
        held, self._held = self._held, ""
        pen, self._pen = self._pen, []
        if held:
            self.released.emit(held)
        elif len(pen) > 1:
            self.drawn.emit(np.array(pen))
        self.update()

    def leaveEvent(self, event: object) -> None:
        """No lens where no hand is."""
        self._pointer = None
        self.update()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """The arrows move what was held last by a pixel of the picture."""
        step = ARROWS.get(Qt.Key(event.key()))
        at = self.handles().get(self._last)
        if step is None or at is None:
            super().keyPressEvent(event)
            return
        self.placed.emit(self._last, (at[0] + step[0], at[1] + step[1]))
        self.released.emit(self._last)

    def wheelEvent(self, event: QWheelEvent) -> None:
        """Zoom about the pointer."""
        before = self.to_picture(event.position())
        zoom = self._zoom * 1.2 ** (event.angleDelta().y() / 120.0)
        self._zoom = min(max(zoom, 1.0), _MOST_ZOOM)
        after = self.to_picture(event.position())
        moved = QPointF(before[0] - after[0], before[1] - after[1])
        if self._zoom > 1.0:
            self._middle += moved
        else:
            self._middle = QPointF(self._image.width() / 2.0, self._image.height() / 2.0)
        self.update()
        event.accept()

    def paintEvent(self, event: QPaintEvent) -> None:
        """Picture, quad, lines with their bands, ticks, the pen, the lens."""
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setRenderHint(QPainter.RenderHint.SmoothPixmapTransform)
        painter.fillRect(self.rect(), QColor(theme.FLOOR))
        self._paint_all(painter)
        lens_wanted = self._held or self.armed != "corners"
        if lens_wanted and self._pointer is not None and not self._pen:
            self._paint_lens(painter, self._pointer)

    def _paint_all(self, painter: QPainter) -> None:
        size = QPointF(self._image.width() - 0.5, self._image.height() - 0.5)
        shown = QRectF(self.to_widget(-0.5, -0.5), self.to_widget(size.x(), size.y()))
        painter.drawImage(shown, self._image)
        if self._setting.corners is not None:
            self._paint_corners(painter, self._setting.corners)
        for i, stroke in enumerate(self._strokes):
            self._paint_stroke(painter, stroke, QColor(_INKS[i % len(_INKS)]))
        for name, at in self._setting.places:
            if name in self._setting.needed():
                self._paint_tick(painter, name, self.to_widget(*at))
        if self._pen:
            painter.setPen(QPen(QColor(_INKS[0]), 2.0))
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.drawPolyline(QPolygonF([self.to_widget(x, y) for x, y in self._pen]))

    def _paint_corners(self, painter: QPainter, corners: tuple[tuple[float, float], ...]) -> None:
        spots = [self.to_widget(*corner) for corner in corners]
        painter.setBrush(Qt.BrushStyle.NoBrush)
        for colour, width in (("#000000", 3.0), (theme.DARK.pick, 1.4)):
            painter.setPen(QPen(QColor(colour), width))
            painter.drawPolygon(QPolygonF(spots))
            for spot in spots:
                painter.drawEllipse(spot, 7.0, 7.0)

    def _paint_stroke(self, painter: QPainter, stroke: Stroke, ink: QColor) -> None:
        if stroke.outline is None:
            return
        line, low, high = stroke.outline
        painter.setPen(Qt.PenStyle.NoPen)
        shade = QColor(ink)
        shade.setAlphaF(0.3)
        painter.setBrush(shade)
        for first, stop in _runs(line):
            edge = np.concatenate([low[first:stop], high[first:stop][::-1]])
            painter.drawPolygon(QPolygonF([self.to_widget(x, y) for x, y in edge]))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        for colour, width in ((QColor("#000000"), 3.2), (ink, 1.6)):
            painter.setPen(QPen(colour, width))
            for first, stop in _runs(line):
                painter.drawPolyline(QPolygonF([self.to_widget(x, y) for x, y in line[first:stop]]))

    def _paint_tick(self, painter: QPainter, name: str, at: QPointF) -> None:
        across = QPointF(0.0, 9.0) if name.startswith("along") else QPointF(9.0, 0.0)
        along = QPointF(3.0, 0.0) if name.startswith("along") else QPointF(0.0, 3.0)
        for colour, width in (("#000000", 4.0), (theme.DARK.orange, 1.8)):
            painter.setPen(QPen(QColor(colour), width))
            painter.drawLine(at - across, at + across)
            painter.drawLine(at - along, at + along)
        words = f"{dict(self._setting.values)[name]:g}"
        if name == "force 1" and not self._setting.force:
            words = "0"
        room = painter.fontMetrics().boundingRect(words)
        left, low = at.x() + 8.0, at.y() - 7.0
        plate = QRectF(left - 3.0, low - room.height() + 2.0, room.width() + 8.0, room.height())
        painter.fillRect(plate, QColor(0, 0, 0, 190))
        painter.drawText(QPointF(left, low - 2.0), words)

    def _paint_lens(self, painter: QPainter, pointer: QPointF) -> None:
        """The place under the hand, larger, in the corner the hand is not in."""
        right = pointer.x() < self.width() / 2.0
        left = self.width() - LENS_PX - 8.0 if right else 8.0
        frame = QRectF(left, 8.0, LENS_PX, LENS_PX)
        painter.save()
        clip = QPainterPath()
        clip.addRoundedRect(frame, 8.0, 8.0)
        painter.setClipPath(clip)
        painter.fillRect(frame, QColor(theme.DARK.floor))
        painter.translate(frame.center())
        painter.scale(LENS_TIMES, LENS_TIMES)
        painter.translate(-pointer)
        painter.setRenderHint(QPainter.RenderHint.SmoothPixmapTransform, False)
        whole = QRectF(
            self.to_widget(-0.5, -0.5),
            self.to_widget(self._image.width() - 0.5, self._image.height() - 0.5),
        )
        painter.drawImage(whole, self._image)
        painter.restore()
        painter.setBrush(Qt.BrushStyle.NoBrush)
        middle, reach = frame.center(), QPointF(10.0, 0.0)
        for colour, width in (("#000000", 3.0), (theme.DARK.orange, 1.2)):
            painter.setPen(QPen(QColor(colour), width))
            painter.drawRoundedRect(frame, 8.0, 8.0)
            painter.drawLine(middle - reach, middle + reach)
            painter.drawLine(middle - reach.transposed(), middle + reach.transposed())

    def _handle_at(self, at: QPointF) -> str:
        best, reach = "", GRAB_PX
        for name, place in self.handles().items():
            off = self.to_widget(*place) - at
            away = float(np.hypot(off.x(), off.y()))
            if away < reach:
                best, reach = name, away
        return best


def _runs(line: Points) -> list[tuple[int, int]]:
    """Stretches of a line without a gap, from and to."""
    known = np.isfinite(line[:, 1]).astype(int)
    edges = np.diff(np.concatenate([[0], known, [0]]))
    return list(zip(np.flatnonzero(edges == 1), np.flatnonzero(edges == -1), strict=True))
