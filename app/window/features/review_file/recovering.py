"""A damaged review: what can still be read of it becomes a new one, and what is lost is listed."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Qt
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import (
    QDialog,
    QHBoxLayout,
    QLabel,
    QPlainTextEdit,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from app.review.values.errors import DamagedReview
from app.review.values.text import clean_name, clean_text
from app.window.features.review_file.versions import Versions, shelf
from app.window.session.settings import data_folder
from app.window.tasks.jobs import Cancelled, Jobs, Progress
from app.window.tasks.message_line import Messages, Offer

if TYPE_CHECKING:
    from app.review.file.recover import Recovered

RECOVER, EARLIER = "Recover what can be read", "Earlier versions …"
MAYBE_EARLIER = f" What was lost may still be in one of its earlier versions: Submission, {EARLIER}"


class Recovering(QObject):
    """Offers a way on where a review cannot be opened."""

    def __init__(
        self,
        jobs: Jobs,
        messages: Messages,
        versions: Versions,
        open_review: Callable[[Path], None],
        window: QWidget | None,
    ) -> None:
        super().__init__(window)
        self._jobs, self._messages, self._versions = jobs, messages, versions
        self._open, self._window = open_review, window

    def offer(self, path: Path, error: Exception) -> None:
        """Say why a review does not open; where it is damaged, with what can be done."""
        if not (isinstance(error, DamagedReview) or "recover" in str(error)):
            return

        def work(progress: Progress, cancelled: Cancelled) -> str:
            from app.review.earlier import identity_of

            return identity_of(path)

        def say(review_id: str) -> None:
            offers = [Offer(RECOVER, lambda: self.recover(path))]
            if review_id and shelf().list(review_id):
                offers.append(Offer(EARLIER, lambda: self._versions.show(path, review_id, None)))
            self._messages.warn(without_command(str(error)), *offers)

        self._jobs.run(f"Looking at {path.name}", work, say, lambda _error: say(""))

    def recover(self, path: Path) -> None:
        """Read what can be read into a new review, and open that."""

        def work(progress: Progress, cancelled: Cancelled) -> tuple[Path, Recovered]:
            from app.review.earlier import place_beside
            from app.review.file.recover import recover

            target = place_beside(path, "recovered", data_folder())
            return target, recover(path, target)

        def use(made: tuple[Path, Recovered]) -> None:
            target, recovered = made
            self._open(target)
            RecoveredDialog(path, target, recovered, self._window).show()

        title = f"Recovering {path.name}"
        refuse = self._messages.warn
        self._jobs.run(title, work, use, lambda e: refuse(str(e)), is_wanted=True)


class RecoveredDialog(QDialog):
    """What was saved and what was lost, to read and to copy."""

    def __init__(
        self, path: Path, target: Path, recovered: Recovered, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self.setWindowTitle("What could be read")
        self.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        self.words = words = QLabel(
            f"What could be read of {clean_name(path.name)} is in {clean_name(target.name)} now, "
            f"which is open. {clean_name(path.name)} itself was left as it is."
            f"{MAYBE_EARLIER if recovered.lost else ''}"
        )
        words.setTextFormat(Qt.TextFormat.PlainText)
        words.setWordWrap(True)
        self.text = QPlainTextEdit(clean_text(_listed(recovered)))
        self.text.setReadOnly(True)
        self.text.setAccessibleName("What was saved and what was lost")
        copy = QPushButton("Copy")
        copy.setToolTip("Copy this list, to send it or keep it.")
        copy.clicked.connect(self._copy)
        done = QPushButton("Done")
        done.setDefault(True)
        done.clicked.connect(self.accept)
        buttons = QHBoxLayout()
        buttons.addStretch(1)
        buttons.addWidget(copy)
        buttons.addWidget(done)
        column = QVBoxLayout(self)
        column.addWidget(words)
        column.addWidget(self.text, 1)
        column.addLayout(buttons)
        self.resize(520, 360)

    def _copy(self) -> None:
        QGuiApplication.clipboard().setText(self.text.toPlainText())


def without_command(sentence: str) -> str:
    """A sentence as it is said beside the button that does what the command does."""
    return sentence.replace("let `strokeside recover` take out", "recover")


def _listed(recovered: Recovered) -> str:
    saved = recovered.saved or ("nothing but its title",)
    lost = recovered.lost or ("nothing that can be told",)
    lines = ["Saved:", *(f"  {item}" for item in saved), "", "Lost or changed:"]
    return "\n".join((*lines, *(f"  {item}" for item in lost)))
