"""Saving and sending fill the library: nothing in it is typed twice.

The library is a memory beside the reviews. Whatever happens to it, the review is saved: what went
wrong is said once, in one sentence.
"""

from __future__ import annotations

import contextlib
from functools import partial
from typing import TYPE_CHECKING, Final

from PySide6.QtCore import QObject, QTimer

from app.window.session.coach_library import CoachLibrary
from app.window.session.settings import data_folder
from app.window.tasks.message_line import Messages

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from app.library.library import Library
    from app.library.summaries import SentBundle
    from app.review.parts.state import ReviewState
    from app.submission.submission import LoadedSubmission
    from app.window.session.review_session import ReviewSession

REST_MS: Final = 2500  # after a saving; a review that is worked on is saved every other second
KEPT_ALL_THE_SAME: Final = "Your reviews and bundles are kept all the same."


class LibraryFilling(QObject):
    """Keeps what the open review says in the library, some time after it was saved."""

    def __init__(self, session: ReviewSession, library: CoachLibrary, messages: Messages) -> None:
        super().__init__(session)
        self._session, self._library, self._messages = session, library, messages
        self._kept: tuple[ReviewState, Path] | None = None
        self._waiting: tuple[ReviewState, Path, LoadedSubmission] | None = None
        self._held = False
        self._said: set[str] = set()
        self._rest = QTimer(self, singleShot=True, interval=REST_MS)
        self._rest.timeout.connect(self._rested)
        session.safe.changed.connect(self._wait)
        session.opened.connect(self._wait)
        session.leaves.connect(self.keep_now)

    def hold(self, held: bool) -> None:
        """The athlete's name is being typed: half of it would be another athlete."""
        self._held = held
        self._wait()

    def keep_now(self) -> None:
        """Keep what is not in the library yet, without waiting for a rest."""
        self._rest.stop()
        self._look()
        if self._is_outdated:
            return  # it comes again with the saving
        waiting, self._waiting = self._waiting, None
        if waiting is not None:
            self._kept = waiting[:2]
            self._write("Keeping the review in the library", partial(_keep_review, *waiting))

    def sent(self, state: ReviewState, path: Path, bundle: Path, size: int) -> None:
        """Keep that a bundle of the open review was written.

        Parameters
        ----------
        state, path : the review as it was sent, and its file
        size : of the bundle, bytes
        """
        if not self._counts(state, path):
            return
        submission = self._session.submission
        if submission.state.review_id != state.review_id:
            return
        told = submission if submission.state is state else submission.in_state(state, path)
        self._waiting = None
        self._rest.stop()
        self._kept = (state, path)
        work = partial(_keep_sent, state, path, told, bundle, size)
        self._write("Keeping what was sent", work)

    def _wait(self, *_changed: object) -> None:
        before = self._waiting
        self._look()
        if before is not None and before[0].review_id != self._session.state.review_id:
            self.keep_now()
        elif self._waiting is not None and not self._held:
            self._rest.start()

    def _rested(self) -> None:
        if not self._held:
            self.keep_now()

    @property
    def _is_outdated(self) -> bool:
        """Whether what waits is of the open review, which was changed since."""
        review = self._session.review
        if review is None or self._waiting is None or not review.unsaved:
            return False
        return review.state.review_id == self._waiting[0].review_id

    def _look(self) -> None:
        """Take up what is saved and not in the library yet, as it is on the bench now."""
        review = self._session.review
        if review is None or review.path is None or review.unsaved:
            return
        now = (review.state, review.path)
        same = self._kept is not None and self._kept[0] is now[0] and self._kept[1] == now[1]
        other = self._waiting is not None and self._waiting[0].review_id != now[0].review_id
        if not same and not other and self._counts(*now):
            self._waiting = (*now, self._session.submission)

    def _counts(self, state: ReviewState, path: Path) -> bool:
        """Whether it names an athlete; the sample's is not the coach's."""
        return bool(state.athlete.strip()) and data_folder() / "sample" not in path.parents

    def _write(self, title: str, work: Callable[[Library], None]) -> None:
        self._library.ask(title, work, _nothing, self._fail, writes=True)

    def _fail(self, error: Exception) -> None:
        said = str(error)
        if said not in self._said:
            self._said.add(said)
            self._messages.warn_too(f"{said.rstrip('.')}. {KEPT_ALL_THE_SAME}")


def _keep_review(state: ReviewState, path: Path, sent: LoadedSubmission, library: Library) -> None:
    from app.library.collect import summary_of
    from app.library.record import store

    store(library, [summary_of(state, path, sent)])


def _keep_sent(
    state: ReviewState,
    path: Path,
    sent: LoadedSubmission,
    bundle: Path,
    size: int,
    library: Library,
) -> None:
    from app.library.record import record_bundle

    _keep_review(state, path, sent, library)
    record_bundle(library, state.review_id, _told(state, bundle, size))


def _told(state: ReviewState, bundle: Path, size: int) -> SentBundle:
    from app.library.people import now
    from app.library.record import new_bundle_id
    from app.library.summaries import SentBundle
    from app.review.answers import bundle_mark

    place = bundle
    with contextlib.suppress(OSError):
        place = bundle.resolve()
    return SentBundle(
        new_bundle_id(), now(), str(place), bundle_mark(state), state.sending.language,
        state.draft, size,
    )  # fmt: skip


def _nothing(_answer: object) -> None:
    pass
