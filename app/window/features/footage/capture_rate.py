"""Telling slow-motion footage how fast it was recorded."""

from __future__ import annotations

from PySide6.QtCore import QObject
from PySide6.QtWidgets import QInputDialog, QWidget

from app.review.parts.media import SetCaptureRate
from app.window.session.review_session import ReviewSession
from app.window.tasks.message_line import Messages

FASTEST = 2000.0


class CaptureRate(QObject):
    """Asks for the rate and puts every time of the review on the clock of the real movement."""

    def __init__(self, window: QWidget, session: ReviewSession, messages: Messages) -> None:
        super().__init__(window)
        self._window = window
        self._session = session
        self._messages = messages

    def ask(self) -> None:
        """Ask how many frames a second were recorded; 0 for footage as fast as life."""
        footage = self._session.footage
        if footage is None:
            return
        dialog = QInputDialog(self._window)
        dialog.setInputMode(QInputDialog.InputMode.DoubleInput)
        dialog.setWindowTitle("Slow motion")
        dialog.setLabelText(
            "Frames recorded in a second of the real movement\n"
            "(120 or 240 for most slow motion, 0 where the footage runs as fast as life):"
        )
        dialog.setDoubleRange(0.0, FASTEST)
        dialog.setDoubleDecimals(2)
        dialog.setDoubleValue(footage.capture_fps or 0.0)
        dialog.doubleValueSelected.connect(self.tell)
        dialog.open()

    def tell(self, capture_fps: float) -> None:
        """Take the rate; 0 for none."""
        footage = self._session.footage
        if footage is None:
            return
        told = capture_fps or None
        film_fps = footage.facts.fps / footage.slowness  # the rate it plays at, whatever was told
        before = footage.capture_fps or film_fps
        after = told or film_fps
        if before != after:
            self._session.do(SetCaptureRate(told, before / after))
            self._messages.say("Every time is now in seconds of the real movement.")
