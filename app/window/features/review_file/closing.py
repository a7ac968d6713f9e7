"""Closing the review: back to the empty bench, with the window staying open."""

from __future__ import annotations

from PySide6.QtCore import QObject

from app.window.session.playhead import Playhead
from app.window.session.review_session import ReviewSession
from app.window.tasks.unfinished import UnfinishedWork


class ReviewClosing(QObject):
    """Asks nothing but what becomes of a file that is just being written."""

    def __init__(
        self, session: ReviewSession, playhead: Playhead, unfinished: UnfinishedWork
    ) -> None:
        super().__init__(session)
        self._session, self._playhead, self._unfinished = session, playhead, unfinished

    def close_review(self) -> None:
        """Close it; everything that was done is in its file."""
        self._playhead.pause()
        if self._unfinished.is_none:
            self._session.close_review()
        else:
            self._unfinished.ask(self._session.close_review, "The review")
