"""What the body shows follows the review: worked out anew after each change, off the window."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QObject

from app.review.parts.state import ReviewState
from app.submission.body import bodied_by
from app.window.session.review_session import ReviewSession
from app.window.tasks.jobs import Cancelled, Job, Jobs, Progress
from app.window.tasks.message_line import Messages

if TYPE_CHECKING:
    from app.submission.body import LoadedBody


class WorkingOut(QObject):
    """Brings the session the body of the review as it is now; what it worked out last waits."""

    def __init__(
        self, session: ReviewSession, jobs: Jobs, messages: Messages, parent: QObject
    ) -> None:
        super().__init__(parent)
        self._session, self._jobs, self._messages = session, jobs, messages
        self._job: Job | None = None
        session.state_changed.connect(self._take_state)

    def _take_state(self, state: ReviewState, before: ReviewState) -> None:
        if bodied_by(state) == bodied_by(before):
            return
        if self._job is not None:
            self._job.cancel()
            self._job = None
        if state.video is None or state.body.readings is None:
            if before.body.readings is not None:
                self._session.put_body(None)
            return

        def work(progress: Progress, cancelled: Cancelled) -> LoadedBody | None:
            from app.submission.body import body_of

            return body_of(state)

        def take(body: LoadedBody | None) -> None:
            self._job = None
            if bodied_by(self._session.state) == bodied_by(state):
                self._session.put_body(body)

        def refuse(error: Exception) -> None:
            self._job = None
            self._messages.warn(str(error))

        self._job = self._jobs.run("Working out the body", work, take, refuse)
