"""Earlier versions of a review: when each was laid aside, and what is different now."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from PySide6.QtCore import QLocale, QObject, Qt
from PySide6.QtWidgets import (
    QDialog,
    QHBoxLayout,
    QHeaderView,
    QLabel,
    QPushButton,
    QTreeWidget,
    QTreeWidgetItem,
    QVBoxLayout,
    QWidget,
)

from app.review.backups import Backup, BackupShelf
from app.review.parts.state import ReviewState
from app.review.values.text import clean_name
from app.window.session.settings import data_folder
from app.window.tasks.jobs import Cancelled, Jobs, Progress
from app.window.tasks.message_line import Messages

HEADINGS = ("Version of", "Size", "Different now")
WHEN_KEPT = (
    "Before the first change of each session a copy of the review is kept. The last three stay, "
    "one a day for a week, and one a week for two months."
)
NONE_YET = "There is no earlier version of this review yet."
LOOKING, SAME, UNREADABLE = "…", "nothing", "cannot be read"


def shelf() -> BackupShelf:
    """Where the earlier versions of all reviews lie."""
    return BackupShelf(data_folder() / "backups")


class Versions(QObject):
    """Shows earlier versions and opens copies of them; no file is ever written over."""

    def __init__(
        self,
        jobs: Jobs,
        messages: Messages,
        open_review: Callable[[Path], None],
        window: QWidget | None,
    ) -> None:
        super().__init__(window)
        self._jobs, self._messages, self._open = jobs, messages, open_review
        self._window = window

    def show(self, path: Path, review_id: str, now: ReviewState | None) -> None:
        """Show the versions of the review in a file.

        Parameters
        ----------
        now : what the review holds, None where that cannot be read
        """
        backups = shelf().list(review_id) if review_id else ()
        dialog = VersionsDialog(path.name, backups, self._window)
        dialog.open_copy.clicked.connect(lambda: self._open_copy(dialog, path))
        if backups and now is not None:
            self._compare(dialog, backups, now)
        dialog.show()

    def _compare(
        self, dialog: VersionsDialog, backups: tuple[Backup, ...], now: ReviewState
    ) -> None:
        def work(progress: Progress, cancelled: Cancelled) -> list[str]:
            said = []
            for i, backup in enumerate(backups):
                progress(i / len(backups), "")
                if cancelled():
                    break
                said.append(_difference(backup, now, cancelled))
            return said

        def failed(error: Exception) -> None:
            self._messages.warn(str(error))

        job = self._jobs.run("Comparing earlier versions", work, dialog.tell, failed)
        dialog.finished.connect(lambda _code: job.cancel() if job in self._jobs.running else None)

    def _open_copy(self, dialog: VersionsDialog, path: Path) -> None:
        backup = dialog.chosen
        if backup is None:
            return
        dialog.close()

        def work(progress: Progress, cancelled: Cancelled) -> tuple[Path, tuple[str, ...]]:
            from app.review.earlier import copy_out, place_beside

            words = f"{backup.when.astimezone():%Y-%m-%d %H.%M}"
            target = place_beside(path, words, data_folder())
            return target, copy_out(backup, path, target, cancelled)

        def use(made: tuple[Path, tuple[str, ...]]) -> None:
            target, lost = made
            self._open(target)
            if lost:
                self._messages.warn(" ".join(lost))

        self._jobs.run(
            "Taking out an earlier version", work, use, lambda e: self._messages.warn(str(e))
        )


class VersionsDialog(QDialog):
    """A list of versions, newest first.

    Attributes
    ----------
    open_copy : the button that takes the chosen one out
    """

    def __init__(
        self, name: str, backups: tuple[Backup, ...], parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self.setWindowTitle(f"Earlier versions of {clean_name(name)}")
        self.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        self._backups = backups
        self.list = QTreeWidget()
        self.list.setAccessibleName("Earlier versions")
        self.list.setRootIsDecorated(False)
        self.list.setHeaderLabels(HEADINGS)
        self.list.setVisible(bool(backups))
        words = QLabel(WHEN_KEPT if backups else f"{NONE_YET}\n\n{WHEN_KEPT}")
        words.setWordWrap(True)
        words.setProperty("role", "quiet")
        self.words = words
        self.open_copy = QPushButton("Open a copy")
        self.open_copy.setToolTip(
            "Write this version into a review of its own beside the review, and open that; the "
            "review itself stays as it is."
        )
        self.open_copy.setEnabled(bool(backups))
        self.open_copy.setVisible(bool(backups))
        done = QPushButton("Done")
        done.clicked.connect(self.reject)
        buttons = QHBoxLayout()
        buttons.addStretch(1)
        buttons.addWidget(self.open_copy)
        buttons.addWidget(done)
        column = QVBoxLayout(self)
        column.addWidget(self.list, 1)
        column.addWidget(words)
        if not backups:
            column.addStretch(1)
        column.addLayout(buttons)
        self._fill()
        self.resize(640, 360 if backups else 180)

    @property
    def chosen(self) -> Backup | None:
        """The selected version."""
        row = self.list.currentIndex().row()
        return self._backups[row] if row >= 0 else None

    def tell(self, different: list[str]) -> None:
        """Say what differs, one for each version."""
        for row, words in enumerate(different):
            item = self.list.topLevelItem(row)
            if item is not None:
                item.setText(2, words)
                item.setToolTip(2, words)

    def _fill(self) -> None:
        locale = QLocale()
        for backup in self._backups:
            when = backup.when.astimezone()
            size = locale.formattedDataSize(backup.size, 1, QLocale.DataSizeFormat.DataSizeSIFormat)
            self.list.addTopLevelItem(
                QTreeWidgetItem([f"{when:%A %d %B %Y, %H:%M}", size, LOOKING])
            )
        header = self.list.header()
        header.setSectionResizeMode(0, QHeaderView.ResizeMode.ResizeToContents)
        header.setSectionResizeMode(1, QHeaderView.ResizeMode.ResizeToContents)
        first = self.list.topLevelItem(0)
        if first is not None:
            self.list.setCurrentItem(first)


def _difference(backup: Backup, now: ReviewState, cancelled: Cancelled) -> str:
    from app.review.file.store import read_file
    from app.review.merging import differences
    from app.review.values.errors import ReviewError

    try:
        before = read_file(backup.path, cancelled).state
    except ReviewError:
        return UNREADABLE
    return "; ".join(differences(before, now)) or SAME
