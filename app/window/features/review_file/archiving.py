"""The open review with its recordings as one file, and such a file opened."""

from __future__ import annotations

import os
from pathlib import Path

from PySide6.QtCore import QObject
from PySide6.QtWidgets import QFileDialog, QWidget

from app.review.values.text import clean_name
from app.window.session.review_session import ReviewSession
from app.window.session.settings import data_folder
from app.window.tasks.jobs import Cancelled, Jobs, Progress
from app.window.tasks.message_line import Messages


class Archiving(QObject):
    """Asks where to, and writes the archive off the window's thread once all is in the file."""

    def __init__(
        self, session: ReviewSession, jobs: Jobs, messages: Messages, window: QWidget
    ) -> None:
        super().__init__(window)
        self._session, self._jobs, self._messages, self._window = session, jobs, messages, window

    def begin(self) -> None:
        """Ask for the file to write."""
        review = self._session.review
        if review is None or review.path is None:
            return
        from app.submission.archive import title_of

        folder = review.path.parent if review.path.parent.is_dir() else Path.home()
        name, _filter = QFileDialog.getSaveFileName(
            self._window, "Save the review with its recordings",
            str(folder / title_of(review.path)), "Reviews with recordings (*.zip)",
        )  # fmt: skip
        if not name:
            return
        path = Path(name)
        # A name to which the ending is added is one the dialog did not ask about.
        self.write(path, replace=path.suffix.lower() == ".zip")

    def write(self, target: Path, replace: bool = False) -> None:
        """Write the archive; the review and its recordings stay as they are."""
        review = self._session.review
        if review is None:
            return

        def saved() -> None:
            if self._session.review is review and review.path is not None:
                self._write(review.path, target, replace)

        review.when_saved(saved)

    def _write(self, review: Path, target: Path, replace: bool) -> None:
        from app.review.recordings import RecordingAccess
        from app.submission.archive import Archived, archive_review

        access = RecordingAccess(data_folder())

        def work(progress: Progress, cancelled: Cancelled) -> Archived:
            return archive_review(
                review, target, access, replace=replace, progress=progress, cancelled=cancelled
            )

        def use(made: Archived) -> None:
            name = clean_name(made.path.name)
            held = f"{len(made.recordings)} recording{'s' if len(made.recordings) != 1 else ''}"
            if made.missing:
                self._messages.warn(f"{name} was saved with {held}. {' '.join(made.missing)}")
                return
            self._messages.say(
                f"{name} holds the review and {held} ({made.bytes / 1e6:.0f} MB); drop it on "
                "Strokeside on another machine to open it."
            )

        self._jobs.run(
            f"Saving {clean_name(target.name)}",
            work,
            use,
            lambda error: self._messages.warn(str(error)),
            is_wanted=True,
        )


class ArchiveOpening(QObject):
    """Takes an archive that was dropped or chosen: unpacked beside itself, then opened."""

    def __init__(
        self, session: ReviewSession, jobs: Jobs, messages: Messages, window: QWidget
    ) -> None:
        super().__init__(window)
        self._session, self._jobs, self._messages = session, jobs, messages

    def take(self, path: Path) -> bool:
        """Open an archive; False where it is none."""
        from app.submission.archive_reading import OpenedArchive, is_archive, open_archive

        if path.suffix.lower() != ".zip" or not is_archive(path):
            return False
        beside = None if os.access(path.parent, os.W_OK) else data_folder() / "reviews"

        def work(progress: Progress, cancelled: Cancelled) -> OpenedArchive:
            if beside is not None:
                beside.mkdir(parents=True, exist_ok=True, mode=0o700)
            return open_archive(path, beside, progress, cancelled)

        def use(came: OpenedArchive) -> None:
            self._session.open_review(came.review)
            if came.missing:
                self._messages.warn(" ".join(came.missing))
            else:
                self._messages.say(f"The review lies in {clean_name(str(came.review.parent))} now.")

        self._jobs.run(f"Opening {clean_name(path.name)}", work, use, self._session.refuse)
        return True
