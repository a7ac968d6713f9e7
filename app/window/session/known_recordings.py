"""The recordings of the open review are those reviewed: looked at on opening, compared whole after.

What is in doubt does not come onto the bench; the coach is told what to do about it in one line.
"""

from __future__ import annotations

import contextlib
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Signal

from app.review.parts.films import all_recordings
from app.review.parts.media import MediaRef
from app.review.parts.state import ReviewState
from app.review.recordings import (
    OtherRecording,
    OutsideRecording,
    OutsideReview,
    RecordingAccess,
    RecordingDoubt,
    confirm,
    is_reviewed,
    quick_standing,
)
from app.review.values.errors import ReviewError
from app.review.values.text import clean_name
from app.submission.looking import look_for
from app.window.session.settings import data_folder
from app.window.tasks.jobs import Cancelled, Job, Jobs, Progress
from app.window.tasks.message_line import Messages, Offer

if TYPE_CHECKING:
    from app.window.session.review_session import ReviewSession


def access() -> RecordingAccess:
    """What may be read on this machine: the review's own folder, and what was chosen here."""
    return RecordingAccess(data_folder())


def lost_recordings(state: ReviewState, review_path: Path) -> list[MediaRef]:
    """The recordings that cannot be shown: gone, lying elsewhere, or another one in their place."""
    refs = all_recordings(state)
    return [ref for ref in refs if look_for(ref, review_path, access(), quick=True).path is None]


def confirm_footage(state: ReviewState, review_path: Path | None, path: Path) -> None:
    """Compare the footage on the bench whole before a picture of it is saved.

    Raises
    ------
    OtherRecording
        It is another one than was reviewed.
    """
    if state.video is not None and review_path is not None:
        confirm(state.video, path, review_path, access())


class KnownRecordings(QObject):
    """Compares what lies on the bench whole, in the background, and asks where there is a doubt."""

    allowed = Signal()  # another review, or a recording of one, may be read now

    def __init__(
        self,
        session: ReviewSession,
        jobs: Jobs,
        messages: Messages,
        parent: QObject | None = None,
    ) -> None:
        super().__init__(parent)
        self._session, self._jobs, self._messages = session, jobs, messages
        self.find: Callable[[], None] = lambda: None
        self._job: Job | None = None
        session.opening.connect(self._stop)
        session.opened.connect(self.check)
        session.doubted.connect(self.ask)
        session.state_changed.connect(self._take_state)

    def check(self) -> None:
        """Compare the recordings on the bench whole; one that is another is put away."""
        self._stop()
        place = self._open_path()
        if place is None:
            return
        shown = self._session.submission.recordings
        pairs = [(r.ref, r.path) for r in shown if r.path is not None and r.missing is None]
        waiting = [pair for pair in pairs if not _is_known(*pair)]
        if not waiting:
            return

        def work(progress: Progress, cancelled: Cancelled) -> list[OtherRecording]:
            others = []
            for ref, path in waiting:
                with contextlib.suppress(ReviewError):  # it went away: the picture says so
                    if not is_reviewed(ref, path, data_folder(), cancelled):
                        others.append(OtherRecording(ref, place, path))
            return others

        def told(others: list[OtherRecording]) -> None:
            self._job = None
            for other in others:
                self._session.put_away(other.ref.kind, other)
            if others:
                self.ask(tuple(others))

        names = " and ".join(clean_name(path.name) for _ref, path in waiting)
        self._job = self._jobs.run(f"Comparing {names}", work, told, self._session.refuse)

    def ask(self, doubts: tuple[RecordingDoubt, ...], also: tuple[str, ...] = ()) -> None:
        """Say what is in doubt, with what can be done about it."""
        outside = tuple(d for d in doubts if not isinstance(d, OtherRecording))
        # What another review's recording should be is said in that review.
        own = [d for d in doubts if isinstance(d, OtherRecording) and self._is_open(d.review_path)]
        offers = [Offer("Use it", lambda: self.use(outside))] if outside else []
        offers += [Offer("Find the right one …", self.find)] if own else []
        offers += [self._offer_to_take(other) for other in own]
        self._messages.warn(" ".join((*also, *map(str, doubts))), *offers)

    def use(self, doubts: Iterable[RecordingDoubt]) -> None:
        """The coach said yes to where they lie."""
        doubts = tuple(doubts)
        for doubt in doubts:
            if isinstance(doubt, OutsideReview):
                access().allow_review(doubt.review_path, doubt.path)
            elif isinstance(doubt, OutsideRecording):
                access().allow(doubt.review_path, doubt.ref, doubt.path)
        own = [
            d for d in doubts if isinstance(d, OutsideRecording) and self._is_open(d.review_path)
        ]
        if own:
            self._session.open_review(own[0].review_path)
        else:
            self.allowed.emit()

    def take_as_new(self, other: OtherRecording) -> None:
        """The coach said that another recording is meant; it can be undone."""
        if not self._is_open(other.review_path):
            return
        if other.ref.kind == "video":
            self._session.attach(other.path, None)
        else:
            self._session.attach(None, other.path)

    def _offer_to_take(self, other: OtherRecording) -> Offer:
        what = "footage" if other.ref.kind == "video" else "force"
        return Offer(f"Take it as new {what}", lambda: self.take_as_new(other))

    def _take_state(self, state: ReviewState, before: ReviewState) -> None:
        """Undo, redo or a yes can make another recording the one reviewed: compare anew."""
        refs = ((state.video, before.video), (state.trace, before.trace))
        if any(new and old and new.sha256 != old.sha256 for new, old in refs):
            self.check()

    def _open_path(self) -> Path | None:
        return None if self._session.review is None else self._session.review.path

    def _is_open(self, review_path: Path) -> bool:
        return self._open_path() == review_path

    def _stop(self) -> None:
        if self._job is not None:
            self._job.cancel()
            self._job = None


def _is_known(ref: MediaRef, path: Path) -> bool:
    try:
        return quick_standing(ref, path, data_folder()) == "same"
    except ReviewError:
        return False
