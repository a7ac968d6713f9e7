"""Closing the window waits for what is being written, unless the coach lets go of it."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QObject, QTimer
from PySide6.QtWidgets import QAbstractButton, QMessageBox, QWidget

from app.window.tasks.jobs import Job, Jobs
from app.window.tasks.message_line import Messages, Offer
from app.window.widgets.open_question import OpenQuestion, question_box

WAIT, STOP, STAY = "Close when it is done", "Stop it and close", "Cancel"


class UnfinishedWork(QObject):
    """Asks before work is ended whose file the coach has asked for."""

    def __init__(self, jobs: Jobs, messages: Messages, window: QWidget | None = None) -> None:
        super().__init__(window)
        self._jobs, self._messages, self._window = jobs, messages, window
        self._then: Callable[[], None] | None = None
        self._what = "The window"
        self._waits = False  # the coach has said to close after it
        self._asked = OpenQuestion()
        jobs.ended.connect(self._look)

    @property
    def question(self) -> QMessageBox | None:
        """What is asked now, None while nothing is."""
        return self._asked.box

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
        box = question_box(
            self._window,
            "Not finished",
            f"Strokeside is still {titles}.",
            "What is not finished is not kept; your review is.",
        )
        box.setIcon(QMessageBox.Icon.Question)
        wait = box.addButton(WAIT, QMessageBox.ButtonRole.AcceptRole)
        box.setDefaultButton(wait)
        answers: dict[QAbstractButton, Callable[[], None]] = {
            wait: self._wait,
            box.addButton(STOP, QMessageBox.ButtonRole.DestructiveRole): self._stop,
        }
        box.setEscapeButton(box.addButton(STAY, QMessageBox.ButtonRole.RejectRole))
        self._then, self._what = then, what
        self._asked.ask(box, answers, self._forget)

    def _wanted(self) -> list[Job]:
        return [job for job in self._jobs.running if job.is_wanted and not job.is_cancelled]

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
        self._asked.drop()
