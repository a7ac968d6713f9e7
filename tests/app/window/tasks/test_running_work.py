"""Every piece of work under way is seen, and each can be stopped by itself."""

from __future__ import annotations

import threading
from collections.abc import Iterator

import pytest
from PySide6.QtGui import QPaintEvent
from PySide6.QtWidgets import QVBoxLayout, QWidget
from pytestqt.qtbot import QtBot

from app.window.tasks.jobs import Cancelled, Jobs, Progress
from app.window.tasks.running_work import RunningWork


class Works:
    """Work that goes on until it is let go or cancelled."""

    def __init__(self) -> None:
        self.go_on = threading.Event()
        self.seen_cancelled = threading.Event()

    def __call__(self, progress: Progress, cancelled: Cancelled) -> str:
        progress(0.5, "half of it")
        while not self.go_on.wait(0.01):
            if cancelled():
                self.seen_cancelled.set()
                return "stopped"
        return "done"


class Beside(QWidget):
    """Something in the same window that takes a while to paint."""

    painted = 0

    def paintEvent(self, event: QPaintEvent) -> None:
        self.painted += 1


@pytest.fixture
def jobs(qtbot: QtBot) -> Iterator[Jobs]:
    jobs = Jobs()
    yield jobs
    jobs.cancel_all()


@pytest.fixture
def shown(jobs: Jobs, qtbot: QtBot) -> RunningWork:
    shown = RunningWork()
    qtbot.addWidget(shown)
    jobs.started.connect(shown.watch)
    jobs.ended.connect(shown.leave)
    return shown


def ignore(_value: object) -> None:
    return None


def test_a_short_piece_does_not_hide_a_long_one(
    jobs: Jobs, shown: RunningWork, qtbot: QtBot
) -> None:
    long, short = Works(), Works()
    jobs.run("Lining up", long, ignore, ignore)
    qtbot.waitUntil(lambda: shown.words == "half of it")
    jobs.run("Reading the curves", short, ignore, ignore)
    assert shown.words == "Lining up  ·  Reading the curves"
    short.go_on.set()
    qtbot.waitUntil(lambda: len(jobs.running) == 1)
    assert shown.words == "half of it" and not shown.isHidden()
    long.go_on.set()
    qtbot.waitUntil(lambda: not jobs.running)
    assert shown.isHidden()


def test_each_is_stopped_by_itself(jobs: Jobs, shown: RunningWork, qtbot: QtBot) -> None:
    one, other = Works(), Works()
    jobs.run("Lining up", one, ignore, ignore)
    jobs.run("Writing", other, ignore, ignore)
    assert [a.text() for a in shown.menu.actions()] == ["Cancel: Lining up", "Cancel: Writing"]
    shown.menu.actions()[1].trigger()
    qtbot.waitUntil(lambda: len(jobs.running) == 1)
    assert other.seen_cancelled.is_set() and not one.seen_cancelled.is_set()
    shown.button.click()  # the only one left
    qtbot.waitUntil(lambda: not jobs.running)
    assert one.seen_cancelled.is_set() and shown.isHidden()


def test_progress_paints_nothing_at_once(jobs: Jobs, qtbot: QtBot) -> None:
    window, shown, works = QWidget(), RunningWork(), Works()
    qtbot.addWidget(window)
    window.resize(900, 200)
    beside, row = Beside(), QVBoxLayout(window)
    beside.setMinimumSize(50, 50)
    row.addWidget(shown)
    row.addWidget(beside)
    jobs.started.connect(shown.watch)
    job = jobs.run("Reading", works, ignore, ignore)
    with qtbot.waitExposed(window):
        window.show()
    qtbot.waitUntil(lambda: beside.painted > 0 and "half of it" in shown.words)
    before = beside.painted
    beside.update()
    job.progressed.emit(0.9, "nearly all of it")
    assert beside.painted == before
    qtbot.waitUntil(lambda: beside.painted > before)
    works.go_on.set()
    qtbot.waitUntil(lambda: not jobs.running)
