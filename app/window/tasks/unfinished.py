"""Closing the window waits for what is being written, unless the coach lets go of it."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QObject, Qt, QTimer
from PySide6.QtWidgets import QAbstractButton, QMessageBox, QWidget

from app.window.tasks.jobs import Job, Jobs
from app.window.tasks.message_line import Messages, Offer

WAIT, STOP, STAY = "Close when it is done", "Stop it and close", "Cancel"


class UnfinishedWork(QObject):
    """Asks before work is ended whose file the coach has asked for.

    Attributes
    ----------
    question : what is asked now, None while nothing is
    """

    def __init__(self, jobs: Jobs, messages: Messages, window: QWidget | None = None) -> None:
        super().__init__(window)
        self._jobs, self._messages, self._window = jobs, messages, window
        self._then: Callable[[], None] | None = None
        self._what = "The window"
        self._waits = False  # the coach has said to close after it
        self.question: QMessageBox | None = None
        jobs.ended.connect(self._look)

    @property
    def is_none(self) -> bool:
        """Whether nothing is being written that closing would lose."""
        return not self._wanted()

    def ask(self, then: Callable[[], None], what: str = "The window") -> None:
        """Let the coach say what becomes of it; `then` closes what is named."""
        if self.question is not None:
            self.question.activateWindow()
            return
        titles = " and ".join(job.title[0].lower() + job.title[1:] for job in self._wanted())
        box = QMessageBox(self._window)
        box.setIcon(QMessageBox.Icon.Question)
        box.setWindowTitle("Not finished")
        box.setTextFormat(Qt.TextFormat.PlainText)
        box.setText(f"Strokeside is still {titles}.")
        box.setInformativeText("What is not finished is not kept; your review is.")
        wait = box.addButton(WAIT, QMessageBox.ButtonRole.AcceptRole)
        box.setDefaultButton(wait)
        answers: dict[QAbstractButton, Callable[[], None]] = {
            wait: self._wait,
            box.addButton(STOP, QMessageBox.ButtonRole.DestructiveRole): self._stop,
        }
        box.setEscapeButton(box.addButton(STAY, QMessageBox.ButtonRole.RejectRole))
        box.finished.connect(lambda _code: self._answered(box, answers))
        self.question, self._then, self._what = box, then, what
        box.open()

    def _wanted(self) -> list[Job]:
        return [job for job in self._jobs.running if job.is_wanted and not job.is_cancelled]

    def _answered(
        self, box: QMessageBox, answers: dict[QAbstractButton, Callable[[], None]]
    ) -> None:
        if box is not self.question:
            return  # it was done while it was asked
        self.question = None
        clicked = box.clickedButton()
        box.deleteLater()
        answers.get(clicked, self._forget)()

    def _wait(self) -> None:
        self._waits = True
        self._messages.say(f"{self._what} closes when it is done.", Offer("Stay", self._stay))

    def _stop(self) -> None:
        for job in self._wanted():
            job.cancel()
        self._go()

    def _stay(self) -> None:
        self._forget()
        self._messages.say(f"{self._what} stays open.")

    def _look(self, job: Job) -> None:
        """Close after the last of them; what went wrong is shown instead."""
        if self._then is None or not job.is_wanted:
            return
        if job.has_failed or (job.is_cancelled and self._waits):
            self._forget()
        elif self.is_none:
            # What takes the value in comes first: it may have something to say.
            QTimer.singleShot(0, self, self._go)

    def _go(self) -> None:
        then = self._then
        self._forget()
        if then is not None:
            then()

    def _forget(self) -> None:
        """Nobody wants to close any more."""
        self._then, self._waits = None, False
        box, self.question = self.question, None
        if box is not None:
            box.close()
            box.deleteLater()
