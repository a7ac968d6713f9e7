"""Recordings that were opened to be compared: opened once, off the window's thread."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QObject

from app.review.recordings import RecordingDoubt, other_review_path
from app.review.values.stroke_ref import StrokeRef, is_other_review
from app.window.session.known_recordings import access
from app.window.session.other_recordings import Recording, load_recording, own_recording
from app.window.session.review_session import ReviewSession
from app.window.tasks.jobs import Cancelled, Job, Jobs, Progress

CHOOSER = "chooser"  # who asks for what the coach points at in the list of recordings
MOST_KEPT = 4  # a force file and an index of frames each


class RecordingsShelf(QObject):
    """Fetches the recording a stroke belongs to."""

    def __init__(self, session: ReviewSession, jobs: Jobs, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._session, self._jobs = session, jobs
        self._kept: dict[str, Recording] = {}
        self._jobs_of: dict[str, Job] = {}
        session.opening.connect(self.close)

    def keep(self, recording: Recording) -> None:
        """Remember an open recording; the oldest goes when there are too many."""
        if not recording.source:
            return  # the bench has it, with its line-up of the moment
        self._kept.pop(recording.source, None)
        self._kept[recording.source] = recording
        while len(self._kept) > MOST_KEPT:
            self._kept.pop(next(iter(self._kept))).close()

    def forget(self, source: str) -> None:
        """Open a recording anew the next time: it is another one now, or gone."""
        kept = self._kept.pop(source, None)
        if kept is not None:
            kept.close()

    def fetch(
        self,
        asker: str,
        ref: StrokeRef,
        done: Callable[[Recording], None],
        failed: Callable[[str], None],
    ) -> None:
        """Hand over the recording of a stroke, at once or when it is open.

        Another call by the same asker before that takes the place of this one.
        """
        before = self._jobs_of.pop(asker, None)
        if before is not None:
            before.cancel()
        if not ref.source:
            done(own_recording(self._session))
            return
        if ref.source in self._kept:
            done(self._kept[ref.source])
            return
        review = self._session.review
        if review is None or review.path is None:
            failed("Open a submission first; then a stroke can be compared.")
            return
        place, state = review.path, review.state

        def work(progress: Progress, cancelled: Cancelled) -> Recording:
            if asker == CHOOSER and is_other_review(ref.source):
                access().allow_review(place, other_review_path(ref.source, place))
            return load_recording(ref, state, place)

        def came(recording: Recording) -> None:
            self._jobs_of.pop(asker, None)
            self.keep(recording)
            done(recording)

        def refuse(error: Exception) -> None:
            self._jobs_of.pop(asker, None)
            failed(str(error))
            if isinstance(error, RecordingDoubt):
                self._session.refuse(error)

        job = self._jobs.run("Opening the other recording", work, came, refuse)
        self._jobs_of[asker] = job

    def close(self) -> None:
        """Let go of all."""
        for job in self._jobs_of.values():
            job.cancel()
        self._jobs_of.clear()
        for recording in self._kept.values():
            recording.close()
        self._kept.clear()
