"""The stroke strip as wide as there is room."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QLabel, QSizePolicy, QWidget

EMPTY = "A stroke strip needs a stroke; add a force file, or go to one."


class StripView(QLabel):
    """Shows a strip as wide as there is room."""

    resized = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(EMPTY, parent)
        self.setAlignment(Qt.AlignmentFlag.AlignCenter)
        self.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Ignored)
        self.setAccessibleName("Stroke strip")

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Paint it anew for the new width, once the hand rests."""
        super().resizeEvent(event)
        self.resized.emit()
