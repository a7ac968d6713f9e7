"""The recordings on screen follow what the review refers to."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import TYPE_CHECKING

from app.review.parts.state import ReviewState
from app.window.session.open_recordings import Footage, OpenRecordings, load_footage
from app.window.tasks.jobs import Cancelled, Jobs, Progress

if TYPE_CHECKING:
    from app.window.session.review_session import ReviewSession


class RecordingsFollow:
    """Takes off the screen what undo took out of the review, and brings back what redo put there.

    Parameters
    ----------
    put : shows other recordings
    """

    def __init__(
        self, session: ReviewSession, jobs: Jobs, put: Callable[[OpenRecordings], None]
    ) -> None:
        self._session, self._jobs, self._put = session, jobs, put

    def follow(self, state: ReviewState, before: ReviewState) -> None:
        """Look whether a recording came or went."""
        shown = self._session.recordings
        for kind, now, was, on_screen in (
            ("video", state.video, before.video, shown.footage),
            ("trace", state.trace, before.trace, shown.force),
        ):
            if now is None and was is not None and on_screen is not None:
                self._session.put_away(kind)
            elif now is not None and was is None and on_screen is None:
                self._bring_back()

    def open_at_rate(self, footage: Footage, capture_fps: float | None) -> None:
        """Open the footage anew on another clock."""

        def work(progress: Progress, cancelled: Cancelled) -> Footage:
            return load_footage(footage.path, capture_fps)

        def use(new: Footage) -> None:
            self._put(replace(self._session.recordings, footage=new))

        title = f"Opening {footage.path.name}"
        self._jobs.run(title, work, use, self._session.refuse)

    def _bring_back(self) -> None:
        review = self._session.review
        if review is None:
            return

        def work(progress: Progress, cancelled: Cancelled) -> OpenRecordings:
            from app.window.session.known_recordings import load_recordings

            return load_recordings(review).recordings

        def use(found: OpenRecordings) -> None:
            if self._session.review is review:
                old = self._session.recordings
                self._put(OpenRecordings(old.footage or found.footage, old.force or found.force))

        self._jobs.run("Opening the recordings", work, use, self._session.refuse)
