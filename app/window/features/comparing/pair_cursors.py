"""Where each of two strokes stands, drawn over their curves without painting those again."""

from __future__ import annotations

from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QWidget

from app.window.widgets import theme

REACH_PX = 2  # beside a line that has to be painted anew
TOGETHER_PX = 1.5  # two lines nearer than this are one


class PairCursors(QWidget):
    """A see-through sheet: the playhead's line, and a dashed one for the right stroke."""

    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent)
        self.setAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents)
        self.area = QRectF()
        self._left: float | None = None
        self._right: float | None = None

    @property
    def places(self) -> tuple[float | None, float | None]:
        """Where the lines stand, in widget pixels."""
        return self._left, self._right

    def move_to(self, left: float | None, right: float | None) -> None:
        """Put the lines somewhere else; None for none."""
        before = (self._left, self._right)
        self._left, self._right = left, right
        for x in {*before, left, right} - {None}:
            if x is not None:
                top, height = int(self.area.top()), int(self.area.height()) + 1
                self.update(int(x) - REACH_PX, top, 2 * REACH_PX + 1, height)

    def paintEvent(self, event: QPaintEvent) -> None:
        """Paint one line or two."""
        painter = QPainter(self)
        for x, dashed in ((self._right, True), (self._left, False)):
            if x is None or not self.area.left() - 1 <= x <= self.area.right() + 1:
                continue
            if dashed and self._left is not None and abs(x - self._left) < TOGETHER_PX:
                continue
            pen = QPen(QColor(theme.SECOND if dashed else theme.PLAYHEAD), 2)
            if dashed:
                pen.setStyle(Qt.PenStyle.DashLine)
            painter.setPen(pen)
            painter.drawLine(int(x), int(self.area.top()), int(x), int(self.area.bottom()))
