"""Closing while something is being written."""

from __future__ import annotations

import threading
from collections.abc import Iterator

import pytest
from PySide6.QtWidgets import QMessageBox
from pytestqt.qtbot import QtBot

from app.window.tasks.jobs import Cancelled, Job, Jobs, Progress
from app.window.tasks.message_line import Messages
from app.window.tasks.unfinished import STAY, STOP, WAIT, UnfinishedWork


class Writing:
    """A file that is written until the test says so."""

    def __init__(self, jobs: Jobs) -> None:
        self.goes_on, self.error = threading.Event(), ""
        self.heard: list[str] = []
        self.job = self._start(jobs)

    def _start(self, jobs: Jobs) -> Job:
        def work(progress: Progress, cancelled: Cancelled) -> str:
            while not self.goes_on.wait(0.01):
                if cancelled():
                    return ""
            if self.error:
                raise ValueError(self.error)
            return "written"

        def failed(error: Exception) -> None:
            self.heard.append(str(error))

        return jobs.run("Writing the file", work, self.heard.append, failed, is_wanted=True)


@pytest.fixture
def jobs(qtbot: QtBot) -> Iterator[Jobs]:
    jobs = Jobs()
    yield jobs
    jobs.cancel_all()


@pytest.fixture
def unfinished(jobs: Jobs) -> UnfinishedWork:
    return UnfinishedWork(jobs, Messages(jobs))


@pytest.fixture
def closed() -> list[str]:
    """What happened in which order."""
    return []


def answer(unfinished: UnfinishedWork, text: str) -> None:
    box = unfinished.question
    assert box is not None
    next(button for button in box.buttons() if button.text() == text).click()


def ask(unfinished: UnfinishedWork, closed: list[str]) -> QMessageBox:
    unfinished.ask(lambda: closed.append("closed"))
    assert unfinished.question is not None
    return unfinished.question


def test_only_what_the_coach_has_asked_for_holds_up_closing(
    jobs: Jobs, unfinished: UnfinishedWork, qtbot: QtBot
) -> None:
    goes_on = threading.Event()
    looking = jobs.run("Looking", lambda _p, _c: goes_on.wait(), lambda _v: None, lambda _e: None)
    assert unfinished.is_none
    writing = Writing(jobs)
    held_up = unfinished.is_none
    writing.goes_on.set()
    qtbot.waitUntil(lambda: jobs.running == (looking,))
    assert unfinished.is_none and not held_up
    goes_on.set()


def test_the_question_names_what_is_written(
    jobs: Jobs, unfinished: UnfinishedWork, closed: list[str]
) -> None:
    Writing(jobs)
    assert "writing the file" in ask(unfinished, closed).text()
    answer(unfinished, STAY)
    assert unfinished.question is None and closed == []


def test_the_window_closes_after_the_file_is_there(
    jobs: Jobs, unfinished: UnfinishedWork, closed: list[str], qtbot: QtBot
) -> None:
    writing = Writing(jobs)
    writing.heard = closed
    writing.job.done = closed.append
    ask(unfinished, closed)
    answer(unfinished, WAIT)
    assert closed == []
    writing.goes_on.set()
    qtbot.waitUntil(lambda: len(closed) == 2)
    assert closed == ["written", "closed"]


def test_a_file_that_is_done_while_it_is_asked_answers_the_question(
    jobs: Jobs, unfinished: UnfinishedWork, closed: list[str], qtbot: QtBot
) -> None:
    writing = Writing(jobs)
    ask(unfinished, closed)
    writing.goes_on.set()
    qtbot.waitUntil(lambda: closed == ["closed"])
    assert unfinished.question is None and writing.heard == ["written"]


def test_what_went_wrong_keeps_the_window(
    jobs: Jobs, unfinished: UnfinishedWork, closed: list[str], qtbot: QtBot
) -> None:
    writing = Writing(jobs)
    ask(unfinished, closed)
    answer(unfinished, WAIT)
    writing.error = "The disk is full."
    writing.goes_on.set()
    qtbot.waitUntil(lambda: writing.heard == ["The disk is full."])
    another = Writing(jobs)
    another.goes_on.set()
    qtbot.waitUntil(lambda: not jobs.running)
    assert closed == []


def test_cancelling_it_in_the_bottom_line_keeps_the_window(
    jobs: Jobs, unfinished: UnfinishedWork, closed: list[str], qtbot: QtBot
) -> None:
    writing = Writing(jobs)
    ask(unfinished, closed)
    answer(unfinished, WAIT)
    writing.job.cancel()
    qtbot.waitUntil(lambda: not jobs.running)
    assert closed == [] and writing.heard == []


def test_it_can_be_stopped(
    jobs: Jobs, unfinished: UnfinishedWork, closed: list[str], qtbot: QtBot
) -> None:
    writing = Writing(jobs)
    ask(unfinished, closed)
    answer(unfinished, STOP)
    assert closed == ["closed"] and writing.job.is_cancelled
    qtbot.waitUntil(lambda: not jobs.running)
    assert closed == ["closed"] and writing.heard == []
