"""The open review goes on in another file, whatever became of the old one."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Qt, Signal
from PySide6.QtWidgets import QFileDialog, QProgressDialog, QWidget

from app.review.values.errors import ChangedElsewhere
from app.review.values.text import clean_name
from app.window.session.safekeeping import Safekeeping
from app.window.session.settings import data_folder
from app.window.tasks.jobs import Cancelled, Jobs, Progress
from app.window.tasks.message_line import Messages

if TYPE_CHECKING:
    from app.review.moving import Moved

SUFFIX = ".review"
SHOWN_AFTER_MS = 500


class SavingAs(QObject):
    """Asks for the new name, writes there off the window's thread, and goes on there."""

    moved = Signal(object)  # the file where the review was

    def __init__(
        self, safe: Safekeeping, jobs: Jobs, messages: Messages, window: QWidget | None
    ) -> None:
        super().__init__(window)
        self._safe, self._jobs, self._messages, self._window = safe, jobs, messages, window

    def begin(self, then: Callable[[bool], None] = lambda _done: None) -> None:
        """Ask where to; `then` hears whether the review lies there now."""
        review = self._safe.review
        if review is None or review.path is None:
            then(False)
            return
        name, _filter = QFileDialog.getSaveFileName(
            self._window, "Save the review as", str(self._suggested(review.path)),
            f"Reviews (*{SUFFIX})",
        )  # fmt: skip
        if not name:
            then(False)
            return
        path = Path(name)
        if path.suffix.lower() != SUFFIX:
            path = path.with_name(path.name + SUFFIX)
            if path.exists():  # the dialog asked about another name
                self._messages.warn(f"{path.name} exists already; choose another name.")
                then(False)
                return
        self.save(path, then)

    def save(self, path: Path, then: Callable[[bool], None] = lambda _done: None) -> None:
        """Go on in this file; one that is there is replaced."""
        review, old = self._safe.review, self._safe.review.path if self._safe.review else None
        if review is None:
            then(False)
            return
        wait = self._wait(path)

        def work(progress: Progress, cancelled: Cancelled) -> Moved:
            return review.write_as(path)

        def use(moved: Moved) -> None:
            wait.cancel()
            lost = review.go_on(moved)
            self._put_away(old)
            self._safe.follow_name()
            self.moved.emit(old)
            self._messages.say(f"Saved as {clean_name(path.name)}; changes go there from now on.")
            if lost:
                self._messages.warn(" ".join(lost))
            then(True)

        def refuse(error: Exception) -> None:
            wait.cancel()
            if isinstance(error, ChangedElsewhere):  # its own file: both go into it
                review.take_in(error.theirs)
                then(True)
                return
            self._messages.warn(f"{error} The review stays where it was.")
            then(False)

        self._jobs.run(f"Saving as {path.name}", work, use, refuse)

    def _wait(self, path: Path) -> QProgressDialog:
        """Shown when it takes a while; the review is not to be left meanwhile."""
        wait = QProgressDialog(f"Saving as {clean_name(path.name)} …", "", 0, 0, self._window)
        wait.setCancelButton(None)
        wait.setWindowModality(Qt.WindowModality.WindowModal)
        wait.setMinimumDuration(SHOWN_AFTER_MS)
        wait.setValue(0)
        wait.canceled.connect(wait.deleteLater)
        return wait

    def _suggested(self, path: Path) -> Path:
        """The review's own name, in its folder while that is there."""
        hidden = data_folder() / "rescued"
        folder = path.parent if path.parent.is_dir() and path.parent != hidden else Path.home()
        return folder / path.name

    def _put_away(self, old: Path | None) -> None:
        """A copy that was rescued and has a place now needs no more reminding."""
        from app.review.rescue import put_away, rescued

        if old is not None and old in rescued(data_folder()):
            put_away(data_folder(), old)
