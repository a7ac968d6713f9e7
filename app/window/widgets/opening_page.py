"""What the window shows until the bench is made."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QPaintEvent
from PySide6.QtWidgets import QLabel


class OpeningPage(QLabel):
    """A line that says what is being opened, or why nothing can be."""

    painted = Signal()  # it was on the screen for the first time

    def __init__(self) -> None:
        super().__init__("Opening …")
        self.setAlignment(Qt.AlignmentFlag.AlignCenter)
        self.setTextFormat(Qt.TextFormat.PlainText)
        self.setWordWrap(True)
        self.setMargin(24)
        self._is_painted = False

    def say(self, name: str) -> None:
        """Say what is being opened."""
        self.setText(f"Opening {name} …")

    def warn(self, text: str) -> None:
        """Say what went wrong, in place of the bench."""
        self.setText(text)

    def paintEvent(self, event: QPaintEvent) -> None:
        """Tell the first time."""
        super().paintEvent(event)
        if not self._is_painted:
            self._is_painted = True
            self.painted.emit()
