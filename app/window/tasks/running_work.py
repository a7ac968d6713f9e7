"""The work under way, at the end of the bottom line: all of it, each with a cancel of its own."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QSize, Signal
from PySide6.QtWidgets import QHBoxLayout, QMenu, QProgressBar, QToolButton, QWidget

from app.window.tasks.jobs import Job
from app.window.widgets.elided_label import ElidedLabel

STOPPING = "stopping"


class RunningWork(QWidget):
    """What runs, how far it is, and a button that stops it; hidden while nothing runs."""

    shown = Signal()  # it came or went

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._far: dict[Job, tuple[float, str]] = {}  # in the order they began
        self._is_busy = False
        self._words = ElidedLabel()
        self._words.setProperty("role", "quiet")
        self._words.setAccessibleName("Work under way")
        self._bar = QProgressBar()
        self._bar.setRange(0, 100)
        self._bar.setFixedWidth(90)
        self._bar.setTextVisible(False)
        self._stop = QToolButton()
        self._stop.clicked.connect(self._cancel)
        self._menu = QMenu(self._stop)
        self._menu.setAccessibleName("Work under way")
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        for part in (self._words, self._bar, self._stop):
            row.addWidget(part)
        self.setVisible(False)
        self._show()

    @property
    def words(self) -> str:
        """What is said to be under way."""
        return self._words.text()

    @property
    def menu(self) -> QMenu:
        """One entry for each piece of work; choosing it stops that one."""
        return self._menu

    @property
    def button(self) -> QToolButton:
        """Stops the only one; opens the menu where there are several."""
        return self._stop

    def watch(self, job: Job) -> None:
        """Show a piece of work until it ends."""
        self._far[job] = (0.0, "")
        job.progressed.connect(lambda share, text, job=job: self._progress(job, share, text))
        self._show()

    def leave(self, job: Job) -> None:
        """It has ended."""
        self._far.pop(job, None)
        self._show()

    def minimumSizeHint(self) -> QSize:
        """The words give way."""
        return QSize(200, super().minimumSizeHint().height())

    def _progress(self, job: Job, share: float, text: str) -> None:
        if job in self._far:
            self._far[job] = (share, text or self._far[job][1])
            self._say()

    def _show(self) -> None:
        """Another number of them: the button stops one, or asks which."""
        if self._is_busy != bool(self._far):
            self._is_busy = bool(self._far)
            self.setVisible(self._is_busy)
            self.shown.emit()
        several = len(self._far) > 1
        self._stop.setText("Cancel …" if several else "Cancel")
        self._stop.setToolTip(
            "See all that is under way, and stop one."
            if several
            else "Stop this work; nothing is left half done."
        )
        self._menu.clear()
        for job in self._far:
            self._menu.addAction(f"Cancel: {job.title}".replace("&", "&&"), self._stopper(job))
        self._say()

    def _say(self) -> None:
        jobs = list(self._far.items())
        # What is stopping already cannot be stopped again.
        self._stop.setEnabled(not all(job.is_cancelled for job in self._far))
        for job, entry in zip(self._far, self._menu.actions(), strict=False):
            entry.setEnabled(not job.is_cancelled)
        if len(jobs) == 1:
            job, (_share, text) = jobs[0]
            self._words.setText("Stopping …" if job.is_cancelled else text or job.title)
        else:
            self._words.setText("  ·  ".join(_named(job) for job, _far in jobs))
        if jobs:
            self._fill(round(100 * sum(share for _job, (share, _t) in jobs) / len(jobs)))

    def _fill(self, percent: int) -> None:
        """Move the bar with the next painting: by itself it paints the whole window at once."""
        self._bar.setUpdatesEnabled(False)
        self._bar.setValue(percent)
        self._bar.setUpdatesEnabled(True)

    def _stopper(self, job: Job) -> Callable[[], None]:
        def stop() -> None:
            job.cancel()
            self._say()

        return stop

    def _cancel(self) -> None:
        if len(self._far) == 1:
            self._stopper(next(iter(self._far)))()
        elif self._far:
            self._menu.popup(self._stop.mapToGlobal(self._stop.rect().topLeft()))


def _named(job: Job) -> str:
    return f"{job.title} ({STOPPING})" if job.is_cancelled else job.title
