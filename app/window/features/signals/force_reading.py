"""Whether what the recorder reads while nobody pulls is taken off the force."""

from __future__ import annotations

from dataclasses import replace

from PySide6.QtCore import QObject

from app.window.session.review_session import ReviewSession
from app.window.tasks.message_line import Messages

NO_FILE = "The force file is not at hand, so it cannot be read another way; find it first."


class ForceReading(QObject):
    """Reads the force file anew, with its level of rest or without."""

    def __init__(
        self, session: ReviewSession, messages: Messages, parent: QObject | None = None
    ) -> None:
        super().__init__(parent)
        self._session, self._messages = session, messages

    @property
    def keeps_rest(self) -> bool:
        """Whether the force stands as it was recorded."""
        piece = self._session.submission.piece
        intake = None if piece is None else piece.trace.intake
        return intake is not None and intake.mapping.keep_rest

    def toggle_rest(self) -> None:
        """Take the level of rest off, or leave the force as it was recorded."""
        sent = self._session.submission
        intake = None if sent.piece is None else sent.piece.trace.intake
        if sent.trace_path is None or intake is None:
            self._messages.warn(NO_FILE)
            return
        mapping = replace(intake.mapping, keep_rest=not intake.mapping.keep_rest)
        self._session.attach(None, sent.trace_path, mapping)
