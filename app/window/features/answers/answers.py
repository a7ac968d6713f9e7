"""What athletes send back: answers taken into the review, bundles looked into."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Signal
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import QFileDialog, QWidget

from app.review.answers import belongs, names_a_note, parse_answers
from app.review.parts.answers import (
    AddAnswers,
    AthleteAnswers,
    RemoveAnswers,
    hurts,
    received_now,
    same_content,
)
from app.review.values.errors import ReviewError
from app.window.features.answers.whose import NO_REVIEW, Whose
from app.window.session.review_session import ReviewSession
from app.window.tasks.jobs import Cancelled, Jobs, Progress
from app.window.tasks.message_line import Messages, Offer

if TYPE_CHECKING:
    from app.bundle.read_back import BundleRecord

KINDS = "Answers and bundles (*.json *.txt *.zip)"
NOTHING_COPIED = (
    "There is no text on the clipboard. Copy the whole message of the athlete first, then paste "
    "it here."
)


class Answers(QObject):
    """Reads files of strangers off the window's thread and hands them to the session."""

    look_wanted = Signal()

    def __init__(
        self,
        window: QWidget,
        session: ReviewSession,
        jobs: Jobs,
        messages: Messages,
        whose: Whose,
    ) -> None:
        super().__init__(window)
        self._window = window
        self._session = session
        self._jobs = jobs
        self._messages = messages
        self._whose = whose
        whose.take_in = self._take_in

    def choose(self) -> None:
        """Ask for a file of answers, or a bundle."""
        review = self._session.review
        place = review.path.parent if review is not None and review.path else Path.home()
        name, _kind = QFileDialog.getOpenFileName(
            self._window, "Open an athlete's answers or a bundle", str(place), KINDS
        )
        if name:
            self._open(Path(name))

    def take(self, paths: Sequence[Path]) -> bool:
        """Open what is answers or a bundle; says whether it was. Recordings are left to others."""
        from app.bundle.read_back import is_sent_back

        if len(paths) != 1:
            return False
        path = _only_json(paths[0])
        if path.name.lower() != "review.json" and not is_sent_back(path):
            return False
        self._open(path)
        return True

    def _open(self, path: Path) -> None:
        if path.name.lower() == "review.json":
            path = path.parent
        if path.is_dir() or path.suffix.lower() == ".zip":
            self._look_into(path)
        else:
            self._read(path)

    def paste(self) -> None:
        """Take in the text an athlete's page shared, from the clipboard."""
        text = QGuiApplication.clipboard().text()
        try:
            said = parse_answers(text.encode("utf-8", "replace"), "The copied text")
        except ReviewError as error:
            self._messages.warn(str(error) if text.strip() else NOTHING_COPIED)
            return
        self.keep(*said)

    def remove(self, answers_id: str) -> None:
        """Take one file of answers out of the review."""
        self._session.do(RemoveAnswers(answers_id))
        self._messages.say("The answers were taken out of the review; undo brings them back.")

    def keep(self, answers: AthleteAnswers, left_out: Sequence[str] = ()) -> None:
        """Take answers into the open review, or say which one they belong to.

        Answers without a mark, as very old bundles gave, go where the coach puts them.
        """
        if self._session.review is None and not answers.bundle:
            self._messages.warn(NO_REVIEW)
        elif answers.bundle and not names_a_note(answers, self._session.state):
            self._whose.look_up(answers, left_out)
        else:
            self._take_in(answers, left_out)

    def _take_in(self, answers: AthleteAnswers, left_out: Sequence[str] = ()) -> None:
        state = self._session.state
        if any(same_content(answers, old) for old in state.answers):
            self._messages.say("These answers are in the review already.")
            self.look_wanted.emit()
            return
        self._session.do(AddAnswers(received_now(answers)))
        if not belongs(answers, state):  # so do those without a mark that tick nothing of it
            said = "These answers belong to another review; they are kept apart from its notes."
            self._messages.warn(" ".join((said, *left_out)))
        elif left_out:
            self._messages.warn(" ".join(("The answers are in the review.", *left_out)))
        elif hurts(answers):
            self._messages.warn("The athlete says that it hurts. Please read the answers first.")
        else:
            done = sum(tick.done for tick in answers.ticks)
            self._messages.say(f"The athlete ticked {done} of {len(answers.ticks)} notes.")
        self.look_wanted.emit()

    def _read(self, path: Path) -> None:
        def work(progress: Progress, cancelled: Cancelled) -> object:
            from app.bundle.read_back import read_answers_file

            return read_answers_file(path)

        self._jobs.run("Reading the answers", work, lambda read: self.keep(*read), self._refuse)

    def _look_into(self, path: Path) -> None:
        def work(progress: Progress, cancelled: Cancelled) -> object:
            from app.bundle.read_back import read_bundle

            return read_bundle(path)

        self._jobs.run("Looking into the bundle", work, self._show, self._refuse)

    def _show(self, record: BundleRecord) -> None:
        from app.window.features.answers.bundle_view import BundleView

        BundleView(record, self, self._window).show()
        if record.answers is not None:
            found = record.answers
            self._messages.say(
                "There are answers in this bundle.",
                Offer("Keep them in the review", lambda: self.keep(found)),
            )

    def _refuse(self, error: Exception) -> None:
        self._messages.warn(str(error))


def _only_json(path: Path) -> Path:
    """The file a folder holds alone, where that is JSON; else the path itself."""
    from app.submission.kinds import recordings_in

    try:
        there = recordings_in(path) if path.is_dir() else []
    except OSError:
        return path
    return there[0] if [p.suffix.lower() for p in there] == [".json"] else path
