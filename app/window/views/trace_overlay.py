"""What lies over the force trace: the playhead's line, the pins of notes, the loop."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPaintEvent, QPen, QPolygonF
from PySide6.QtWidgets import QWidget

from app.window.widgets import theme

PIN_HEIGHT = 14
LINE_ROOM_PX = 6


class TraceOverlay(QWidget):
    """A see-through sheet: moving the playhead repaints two narrow strips, not the curve."""

    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent)
        self.setAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents)
        self.area = QRectF()
        self.pins: tuple[tuple[float, float | None], ...] = ()
        self.loop: tuple[float, float] | None = None  # video seconds
        self.hint = ""
        self.time_to_x: Callable[[float], float] = float
        self._playhead_x = 0.0
        self._wanted_x: float | None = None

    @property
    def playhead_x(self) -> float:
        """Where the playhead's line stands, in widget pixels."""
        return self._playhead_x

    def move_playhead(self, x: float) -> None:
        """Move the line."""
        self._dirty(self._playhead_x)
        self._playhead_x = x
        self._dirty(x)
        self.move_wanted(None)

    def move_wanted(self, x: float | None) -> None:
        """Move the faint line ahead of the playhead; None takes it away."""
        if self._wanted_x is not None:
            self._dirty(self._wanted_x)
        self._wanted_x = x
        if x is not None:
            self._dirty(x)

    def paintEvent(self, event: QPaintEvent) -> None:
        """Paint pins, loop and lines."""
        painter = QPainter(self)
        painter.setClipRect(self.area)
        if self.loop is not None:
            self._paint_loop(painter, *self.loop)
        for start, end in self.pins:
            self._paint_pin(painter, start, end)
        if self._wanted_x is not None and abs(self._wanted_x - self._playhead_x) > 1:
            self._line(painter, self._wanted_x, Qt.PenStyle.DashLine, 1)
        self._line(painter, self._playhead_x, Qt.PenStyle.SolidLine, 2)
        if self.hint:
            self._paint_hint(painter)

    def _paint_hint(self, painter: QPainter) -> None:
        size = painter.fontMetrics().size(0, self.hint)
        plate = QRectF(
            self.area.left() + 8, self.area.top() + 6, size.width() + 16, size.height() + 6
        )
        painter.fillRect(plate, QColor(theme.RAISED))
        painter.setPen(QColor(theme.PICK))
        painter.setBrush(Qt.BrushStyle.NoBrush)  # the pins left theirs
        painter.drawRect(plate)
        painter.drawText(plate, Qt.AlignmentFlag.AlignCenter, self.hint)

    def _line(self, painter: QPainter, x: float, style: Qt.PenStyle, width: int) -> None:
        painter.setPen(QPen(QColor(theme.PLAYHEAD), width, style))
        painter.drawLine(QPointF(x, self.area.top()), QPointF(x, self.area.bottom()))

    def _paint_pin(self, painter: QPainter, start: float, end: float | None) -> None:
        top = self.area.top()
        if end is not None:
            painter.setPen(QPen(QColor(theme.NOTE), 3))
            painter.drawLine(QPointF(start, top + 2), QPointF(end, top + 2))
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setPen(QPen(QColor(theme.FLOOR), 1))
        painter.setBrush(QColor(theme.NOTE))
        flag = [(0.0, 0.0), (8.0, 4.0), (0.0, 8.0)]
        painter.drawPolygon(QPolygonF([QPointF(start + x, top + 1 + y) for x, y in flag]))
        painter.setPen(QPen(QColor(theme.NOTE), 1))
        painter.drawLine(QPointF(start, top + 1), QPointF(start, top + PIN_HEIGHT))
        painter.setRenderHint(QPainter.RenderHint.Antialiasing, False)

    def _paint_loop(self, painter: QPainter, start_s: float, end_s: float) -> None:
        bottom = self.area.bottom() - 3
        left, right = self.time_to_x(start_s), self.time_to_x(end_s)
        painter.setPen(QPen(QColor(theme.PLAYHEAD), 3))
        painter.drawLine(QPointF(left, bottom), QPointF(right, bottom))
        for x in (left, right):
            painter.drawLine(QPointF(x, bottom), QPointF(x, bottom - 8))

    def _dirty(self, x: float) -> None:
        self.update(int(x) - LINE_ROOM_PX // 2, 0, LINE_ROOM_PX, self.height())
