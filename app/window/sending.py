"""Writing the feedback bundle: to its usual place at one key, or elsewhere and in other shapes."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, QUrl, Signal
from PySide6.QtGui import QDesktopServices

from app.review.safety import blur_reminders
from app.window.desk import Desk
from app.window.jobs import Cancelled, Jobs, Progress
from app.window.message_line import Messages, Offer

if TYPE_CHECKING:
    from app.bundle.write import BundleResult

SHAPES = {"folder": "", "zip": ".zip", "page": ".html"}


class Sending(QObject):
    """Turns the review into what the athlete gets, off the window's thread."""

    written = Signal(object)  # BundleResult

    def __init__(
        self, desk: Desk, jobs: Jobs, messages: Messages, parent: QObject | None = None
    ) -> None:
        super().__init__(parent)
        self._desk = desk
        self._jobs = jobs
        self._messages = messages

    def usual_place(self, shape: str = "folder") -> Path | None:
        """Where the bundle goes when nothing else is said: beside the review."""
        review = self._desk.review
        if review is None or review.path is None:
            return None
        return review.path.with_name(f"{review.path.stem}-feedback{SHAPES[shape]}")

    def write(self, shape: str = "folder", out: Path | None = None) -> None:
        """Write the bundle; the window stays in use meanwhile."""
        review = self._desk.review
        out = out or self.usual_place(shape)
        if review is None or review.path is None or out is None:
            self._messages.warn("There is no review to send yet; open footage or force first.")
            return
        state, path, target = review.state, review.path, out

        def work(progress: Progress, cancelled: Cancelled) -> object:
            from app.bundle.write import write_bundle
            from app.window.settings import library_folder

            return write_bundle(
                state,
                path,
                target,
                as_zip=shape == "zip",
                single_file=shape == "page",
                progress=progress,
                cancelled=cancelled,
                library=library_folder(),
            )

        self._jobs.run(
            "Writing the feedback bundle",
            work,
            lambda result: self._done(result, blur_reminders(state)),
            lambda error: self._messages.warn(str(error)),
        )

    def _done(self, result: BundleResult, reminders: tuple[str, ...] = ()) -> None:
        path: Path = result.path
        page = path / "index.html" if path.is_dir() else path
        size = result.bytes / 1e6
        tell = self._messages.warn if reminders else self._messages.say
        said = (*reminders, f"Feedback bundle written: {path} ({size:.1f} MB).", *result.remarks)
        tell(
            " ".join(said),
            Offer("Look at it", lambda: _open(page)),
            Offer("Show the folder", lambda: _open(path.parent)),
        )
        self.written.emit(result)


def _open(path: Path) -> None:
    QDesktopServices.openUrl(QUrl.fromLocalFile(str(path)))
