"""The way from the reminder that a note can only be heard to the note itself."""

from __future__ import annotations

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QPushButton

from app.review.parts.state import ReviewState
from app.review.safety import unread_notes


class UnreadOffer(QPushButton):
    """Shown where notes that are sent were spoken and not written; leads to the first of them."""

    wanted = Signal(str)  # id of the note

    def __init__(self) -> None:
        super().__init__()
        self._first = ""
        self.setAutoDefault(False)
        self.setToolTip(
            "Close this panel and show the note, to write a few words; all is kept, and the panel "
            "comes back as it was"
        )
        self.clicked.connect(lambda: self.wanted.emit(self._first))

    def show_state(self, state: ReviewState) -> None:
        """Follow the review."""
        found = unread_notes(state)
        self._first = found[0].id if found else ""
        self.setText("Go to it" if len(found) == 1 else f"Go to the first of {len(found)}")
        self.setVisible(bool(found))
