"""A line of words that may be cut: an ellipsis says so, and the tool tip has all of it."""

from __future__ import annotations

from PySide6.QtCore import QSize, Qt
from PySide6.QtGui import QPainter, QPaintEvent, QResizeEvent
from PySide6.QtWidgets import QLabel, QWidget

_LEAST_CHARACTERS = 8


class ElidedLabel(QLabel):
    """One line of plain text that gives way."""

    def __init__(self, text: str = "", parent: QWidget | None = None) -> None:
        super().__init__(text, parent)
        self.setTextFormat(Qt.TextFormat.PlainText)
        self._tip = ""

    def setText(self, text: str) -> None:
        """Show other words."""
        super().setText(text)
        self._tell()

    def setToolTip(self, tip: str) -> None:
        """What to tell beside the whole words."""
        self._tip = tip
        self._tell()

    def minimumSizeHint(self) -> QSize:
        """A few characters are enough to know which words these are."""
        least = self.fontMetrics().averageCharWidth() * _LEAST_CHARACTERS
        hint = super().minimumSizeHint()
        return QSize(min(hint.width(), least), hint.height())

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Cut elsewhere."""
        super().resizeEvent(event)
        self._tell()

    def paintEvent(self, event: QPaintEvent) -> None:
        """Paint as much as fits."""
        if not self.is_cut:
            super().paintEvent(event)
            return
        with QPainter(self) as painter:
            painter.setPen(self.palette().color(self.foregroundRole()))
            room = self.contentsRect()
            words = self.fontMetrics().elidedText(
                self.text(), Qt.TextElideMode.ElideRight, room.width()
            )
            painter.drawText(room, int(self.alignment()), words)

    @property
    def is_cut(self) -> bool:
        """Whether some of the words are not seen."""
        room = self.contentsRect().width()
        return self.fontMetrics().horizontalAdvance(self.text()) > room

    def _tell(self) -> None:
        parts = [self.text() if self.is_cut else "", self._tip]
        super().setToolTip("\n".join(part for part in parts if part))
