"""What helps when a review cannot be saved or read: versions, rescued copies, recovering."""

from __future__ import annotations

from PySide6.QtCore import QObject
from PySide6.QtWidgets import QWidget

from app.window.desk import Desk
from app.window.jobs import Jobs
from app.window.keeping.recovering import Recovering
from app.window.keeping.rescued_copies import RescuedCopies
from app.window.keeping.versions import Versions
from app.window.message_line import Messages


class WayOut(QObject):
    """Puts the helpers together and shows them for the open review."""

    def __init__(self, desk: Desk, jobs: Jobs, messages: Messages, window: QWidget) -> None:
        super().__init__(window)
        self._desk = desk
        self.versions = Versions(jobs, messages, desk.open_review, window)
        self.rescued = RescuedCopies(desk, messages, window)
        self.recovering = Recovering(jobs, messages, self.versions, desk.open_review, window)
        desk.refused.connect(self.recovering.offer)

    def show_versions(self) -> None:
        """Show what the open review was before earlier sessions."""
        review = self._desk.review
        if review is not None and review.path is not None:
            self.versions.show(review.path, review.state.review_id, review.state)

    def save_as(self) -> None:
        """Ask for another name for the open review."""
        self._desk.saving_as.begin()
