"""Work in a child process: answers, refusals, stopping, and no child left behind."""

from __future__ import annotations

import signal
import subprocess
import sys
import threading
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest
from pytestqt.qtbot import QtBot

from app.media.errors import MediaError
from app.window.tasks import process_pool
from app.window.tasks.process_pool import LOST, AsideError, AsideFault, AsideStopped, ProcessPool
from tests.helpers.patience import HANGS_S

ROOT = Path(__file__).resolve().parents[4]
HERE = "tests.helpers.aside_work"


@pytest.fixture
def aside(monkeypatch: pytest.MonkeyPatch) -> Iterator[ProcessPool]:
    monkeypatch.setattr(process_pool, "_TIDY_S", HANGS_S)  # children stand behind all others
    made = ProcessPool()
    yield made
    made.close()
    assert made.children == ()


def never() -> bool:
    return False


def ignore(share: float, text: str) -> None:
    pass


def gone(process: int) -> bool:
    """Whether no process has this number, not even one nobody waited for."""
    listed = subprocess.run(["ps", "-o", "pid=", "-p", str(process)], capture_output=True)
    return not listed.stdout.strip()


def test_arrays_go_there_and_back_and_one_child_serves_again(aside: ProcessPool) -> None:
    values = np.arange(300_000, dtype=np.float64)
    told: list[float] = []
    for _ in range(2):
        got, process = aside.call(
            f"{HERE}:doubled", (values,), lambda share, _text: told.append(share), never
        )
        np.testing.assert_array_equal(got, 2 * values)
        assert aside.children == (process,)
    assert told[-1] == 1.0


def test_what_the_input_is_to_blame_for_comes_back_as_it_was(aside: ProcessPool) -> None:
    with pytest.raises(MediaError, match=r"clip\.mp4 is empty"):
        aside.call(f"{HERE}:refuse", ("clip.mp4 is empty",), ignore, never)
    assert len(aside.children) == 1


def test_a_fault_of_ours_brings_its_traceback(aside: ProcessPool) -> None:
    with pytest.raises(AsideFault, match="ZeroDivisionError"):
        aside.call(f"{HERE}:divide", (1,), ignore, never)


def test_what_is_stopped_ends_at_once_and_leaves_no_file(
    aside: ProcessPool, tmp_path: Path
) -> None:
    kept = tmp_path / "temporary"
    stop = threading.Event()

    def begun(share: float, text: str) -> None:
        stop.set()

    with pytest.raises(AsideStopped):
        aside.call(f"{HERE}:forever", (kept,), begun, stop.is_set)
    assert aside.children == ()
    assert not kept.exists()


def test_it_can_be_stopped_where_the_interrupt_is_ignored(
    aside: ProcessPool, tmp_path: Path
) -> None:
    """As in a program that a shell has put into the background."""
    usual = signal.signal(signal.SIGINT, signal.SIG_IGN)
    try:
        test_what_is_stopped_ends_at_once_and_leaves_no_file(aside, tmp_path)
    finally:
        signal.signal(signal.SIGINT, usual)


def test_a_child_ended_from_outside_is_a_sentence_and_the_next_call_works(
    aside: ProcessPool,
) -> None:
    with pytest.raises(AsideError) as refusal:
        aside.call(f"{HERE}:die", (), ignore, never)
    assert str(refusal.value) == LOST
    got, _process = aside.call(f"{HERE}:doubled", (np.ones(3),), ignore, never)
    assert got.sum() == 6


@pytest.mark.skipif(sys.platform == "win32", reason="looks for the process by its number")
def test_closing_ends_one_at_work(aside: ProcessPool, tmp_path: Path) -> None:
    begun = threading.Event()
    seen: list[Exception] = []

    def work() -> None:
        try:
            aside.call(
                f"{HERE}:forever", (tmp_path / "t",), lambda _share, _text: begun.set(), never
            )
        except AsideError as error:
            seen.append(error)

    worker = threading.Thread(target=work)
    worker.start()
    assert begun.wait(HANGS_S)
    (process,) = aside.children
    aside.close()
    worker.join(HANGS_S)
    assert not worker.is_alive()
    assert len(seen) == 1
    assert gone(process)


@pytest.mark.skipif(sys.platform == "win32", reason="looks for the process by its number")
def test_a_child_ends_when_its_window_is_killed(tmp_path: Path, qtbot: QtBot) -> None:
    owner = subprocess.Popen(
        [sys.executable, "-m", HERE, str(tmp_path / "t")],
        stdout=subprocess.PIPE,
        cwd=ROOT,
    )
    assert owner.stdout is not None
    child = int(owner.stdout.readline())
    owner.kill()
    owner.wait()
    owner.stdout.close()
    qtbot.waitUntil(lambda: gone(child), timeout=20000)
    assert not (tmp_path / "t").exists()


def test_children_stand_ready_and_are_the_ones_used(aside: ProcessPool) -> None:
    aside.prepare()
    ready = set(aside.children)
    assert len(ready) == 2
    aside.prepare()
    assert set(aside.children) == ready, "no more than are needed"
    _got, process = aside.call(f"{HERE}:doubled", (np.arange(3.0),), ignore, never)
    assert process in ready
    aside.close()
    aside.prepare()
    assert aside.children == (), "a closed bench starts none"
