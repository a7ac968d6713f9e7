"""Slow work: in threads that stand ready, taken in step by step, ended with the window."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable, Iterator

import pytest
from PySide6.QtCore import QTimer
from pytestqt.qtbot import QtBot

from app.window.tasks.jobs import Jobs
from app.window.tasks.workers import Workers
from tests.helpers.patience import HANGS_S


@pytest.fixture
def jobs(qtbot: QtBot) -> Iterator[Jobs]:
    jobs = Jobs()
    yield jobs
    jobs.cancel_all()


def never(error: Exception) -> None:
    raise AssertionError(error)


def test_a_value_comes_back_on_the_windows_thread(jobs: Jobs, qtbot: QtBot) -> None:
    came: list[tuple[object, bool]] = []

    def done(value: object) -> None:
        came.append((value, threading.current_thread() is threading.main_thread()))

    jobs.run("count", lambda _p, _c: threading.current_thread().name, done, never)
    qtbot.waitUntil(lambda: bool(came))
    assert came == [("job", True)]
    assert jobs.running == ()


def test_the_window_has_a_turn_between_the_steps(jobs: Jobs, qtbot: QtBot) -> None:
    seen: list[str] = []

    def done(_value: object) -> Iterator[None]:
        for step in ("one", "two"):
            seen.append(step)
            QTimer.singleShot(0, lambda step=step: seen.append(f"window after {step}"))
            yield
        seen.append("three")

    jobs.run("steps", lambda _p, _c: None, done, never)
    qtbot.waitUntil(lambda: "three" in seen)
    assert seen == ["one", "window after one", "two", "window after two", "three"]
    assert jobs.running == ()


def test_timers_run_between_the_steps(jobs: Jobs, qtbot: QtBot) -> None:
    beat, beats = QTimer(), [0]
    beat.timeout.connect(lambda: beats.append(beats[-1] + 1))
    beat.start(1)
    seen: list[int] = []

    def done(_value: object) -> Iterator[None]:
        for _step in range(3):
            seen.append(beats[-1])
            due = time.monotonic() + 0.005
            while time.monotonic() < due:
                pass  # the beat is due now
            yield

    jobs.run("steps", lambda _p, _c: None, done, never)
    qtbot.waitUntil(lambda: jobs.running == ())
    assert len(set(seen)) == 3


def test_steps_end_when_the_job_is_cancelled(jobs: Jobs, qtbot: QtBot) -> None:
    seen: list[int] = []

    def done(_value: object) -> Iterator[None]:
        for step in range(5):
            seen.append(step)
            if step == 2:
                job.cancel()
            yield

    job = jobs.run("steps", lambda _p, _c: None, done, never)
    qtbot.waitUntil(lambda: jobs.running == ())
    assert seen == [0, 1, 2]


def test_a_fault_in_a_step_is_raised_and_the_job_is_over(jobs: Jobs, qtbot: QtBot) -> None:
    def done(_value: object) -> Iterator[None]:
        yield
        raise RuntimeError("a fault of ours")

    with qtbot.capture_exceptions() as caught:
        jobs.run("steps", lambda _p, _c: None, done, never)
        qtbot.waitUntil(lambda: bool(caught))
    assert str(caught[0][1]) == "a fault of ours"
    assert jobs.running == ()


@pytest.mark.parametrize("count", [1, 12])
def test_all_work_at_the_same_time_however_few_stand_ready(count: int) -> None:
    workers = Workers(ready=2)
    together = threading.Barrier(count + 1, timeout=HANGS_S)
    for _round in range(3):
        for _ in range(count):
            workers.run(lambda: together.wait() and None)
        together.wait()
        together.reset()
    workers.close()


def test_closed_workers_go_home() -> None:
    before = set(threading.enumerate())
    workers = Workers(ready=3)
    go, done = threading.Event(), threading.Event()

    def wait_then(say: Callable[[], None] = done.set) -> None:
        go.wait(HANGS_S)
        say()

    workers.run(wait_then)
    mine = {thread for thread in set(threading.enumerate()) - before if thread.name == "job"}
    assert len(mine) == 3
    workers.close()
    go.set()
    for thread in mine:
        thread.join(HANGS_S)
        assert not thread.is_alive()
    assert done.is_set()
