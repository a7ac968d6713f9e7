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
            "How many times slower than life does this film run? 1 is as fast as life.\n"
            "A stroke lasts two to three seconds in life: if one lasts ten here, it is about 4."
        )
        film_fps = footage.facts.fps / footage.slowness
        dialog.setDoubleRange(1.0, max(FASTEST / film_fps, 1.0))
        dialog.setDoubleDecimals(3)
        dialog.setDoubleValue((footage.capture_fps or film_fps) / film_fps)
        dialog.doubleValueSelected.connect(self.tell_slower)
        dialog.open()

    def tell_slower(self, times: float) -> None:
        """Take how many times slower than life the film runs; 1 for as fast as life."""
        footage = self._session.footage
        if footage is not None:
            film_fps = footage.facts.fps / footage.slowness
            self.tell(0.0 if times == 1.0 else times * film_fps)

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
