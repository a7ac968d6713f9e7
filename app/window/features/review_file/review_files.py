"""What helps when a review cannot be saved or read: versions, rescued copies, recovering."""

from __future__ import annotations

from PySide6.QtCore import QObject
from PySide6.QtWidgets import QWidget

from app.window.features.review_file.recovering import Recovering
from app.window.features.review_file.rescued_copies import RescuedCopies
from app.window.features.review_file.versions import Versions
from app.window.session.review_session import ReviewSession
from app.window.tasks.jobs import Jobs
from app.window.tasks.message_line import Messages


class ReviewFiles(QObject):
    """Puts the helpers together and shows them for the open review."""

    def __init__(
        self, session: ReviewSession, jobs: Jobs, messages: Messages, window: QWidget
    ) -> None:
        super().__init__(window)
        self._session = session
        self.versions = Versions(jobs, messages, session.open_review, window)
        self.rescued = RescuedCopies(session, messages, window)
        self.recovering = Recovering(jobs, messages, self.versions, session.open_review, window)
        session.refused.connect(self.recovering.offer)

    def show_versions(self) -> None:
        """Show what the open review was before earlier sessions."""
        review = self._session.review
        if review is not None and review.path is not None:
            self.versions.show(review.path, review.state.review_id, review.state)

    def save_as(self) -> None:
        """Ask for another name for the open review."""
        self._session.saving_as.begin()
