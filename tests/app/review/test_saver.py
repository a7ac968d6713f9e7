"""Saving in the background: the latest state, again after a failure, and never a dead thread."""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterator

import pytest

from app.review import saver as saver_module
from app.review.file.store import Opened, Stamp
from app.review.parts.state import ReviewState
from app.review.saver import Saver, SaveStatus, Saving
from app.review.values.errors import ChangedElsewhere, FileBusy, ReviewError
from tests.helpers.patience import HANGS_S

LONG_S = HANGS_S  # no test waits for so long unless it fails


def named(title: str) -> ReviewState:
    return ReviewState(title=title)


class Disk:
    """Takes states in one at a time, as the test lets it."""

    def __init__(self) -> None:
        self.written: list[str] = []
        self.begun = threading.Semaphore(0)
        self.goes_on = threading.Event()
        self.goes_on.set()
        self.fails: list[Exception] = []
        self.heard: list[SaveStatus] = []
        self.told = threading.Semaphore(0)

    def write(self, state: ReviewState) -> None:
        self.begun.release()
        assert self.goes_on.wait(LONG_S)
        if self.fails:
            raise self.fails.pop(0)
        self.written.append(state.title)

    def hear(self, status: SaveStatus) -> None:
        self.heard.append(status)
        self.told.release()

    def await_told(self) -> SaveStatus:
        assert self.told.acquire(timeout=LONG_S)
        return self.heard[-1]


@pytest.fixture
def disk() -> Disk:
    return Disk()


@pytest.fixture
def saver(disk: Disk, monkeypatch: pytest.MonkeyPatch) -> Iterator[Saver]:
    monkeypatch.setattr(saver_module, "RETRY_S", LONG_S)
    saver = Saver(disk.write, disk.hear)
    yield saver
    disk.goes_on.set()
    saver.close()


def test_of_what_comes_while_the_disk_is_slow_only_the_last_is_written(
    disk: Disk, saver: Saver
) -> None:
    disk.goes_on.clear()
    saver.submit(named("first"))
    assert disk.begun.acquire(timeout=LONG_S)
    for title in ("second", "third", "last"):
        saver.submit(named(title))
    assert saver.status.saving is Saving.UNDER_WAY
    disk.goes_on.set()
    assert saver.flush(LONG_S) == SaveStatus(Saving.SAVED)
    assert disk.written == ["first", "last"]


def test_what_failed_is_tried_again_by_itself(disk: Disk, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(saver_module, "RETRY_S", 0.0)
    disk.fails = [ReviewError("The disk is full."), FileBusy("Somebody reads.")]
    saver = Saver(disk.write, disk.hear)
    saver.submit(named("kept"))
    for _ in range(3):
        disk.await_told()
    assert [s.saving for s in disk.heard] == [Saving.FAILED, Saving.WAITING, Saving.SAVED]
    assert disk.written == ["kept"]
    saver.close()


def test_a_new_state_does_not_wait_for_the_pause_after_a_failure(disk: Disk, saver: Saver) -> None:
    disk.fails = [ReviewError("The disk is full.")]
    saver.submit(named("first"))
    assert disk.await_told().saving is Saving.FAILED
    saver.submit(named("second"))
    assert disk.await_told().saving is Saving.SAVED
    assert disk.written == ["second"]


def test_flushing_tries_once_more_and_says_what_came_of_it(disk: Disk, saver: Saver) -> None:
    disk.fails = [ReviewError("Full."), ReviewError("Still full.")]
    saver.submit(named("kept"))
    disk.await_told()
    status = saver.flush(LONG_S)
    assert status.saving is Saving.FAILED and str(status.problem) == "Still full."
    assert saver.flush(LONG_S).saving is Saving.SAVED and disk.written == ["kept"]
    assert saver.flush(LONG_S).saving is Saving.SAVED and disk.written == ["kept"]


def test_flushing_while_an_older_state_is_written_waits_for_the_newer(
    disk: Disk, saver: Saver
) -> None:
    disk.goes_on.clear()
    saver.submit(named("older"))
    assert disk.begun.acquire(timeout=LONG_S)
    saver.submit(named("newer"))
    disk.fails = [ReviewError("Full.")]
    threading.Thread(target=disk.goes_on.set).start()
    assert saver.flush(LONG_S).saving is Saving.SAVED
    assert disk.written == ["newer"]


def test_flushing_gives_up_on_a_disk_that_hangs(disk: Disk, saver: Saver) -> None:
    disk.goes_on.clear()
    saver.submit(named("kept"))
    assert disk.begun.acquire(timeout=LONG_S)
    assert saver.flush(0.0).saving is Saving.UNDER_WAY


@pytest.mark.parametrize("fault", [ZeroDivisionError("a fault"), MemoryError(), KeyError("x")])
def test_a_fault_in_writing_is_told_and_the_thread_lives(
    disk: Disk, saver: Saver, fault: Exception
) -> None:
    disk.fails = [fault]
    saver.submit(named("first"))
    status = disk.await_told()
    assert status.saving is Saving.FAILED and "should not" in str(status.problem)
    assert saver.flush(LONG_S).saving is Saving.SAVED and disk.written == ["first"]


def test_a_listener_that_fails_does_not_end_all_saving(monkeypatch: pytest.MonkeyPatch) -> None:
    hooked: list[object] = []
    monkeypatch.setattr(threading, "excepthook", lambda args: hooked.append(args.exc_value))
    written: list[str] = []

    def gone(_status: SaveStatus) -> None:
        raise RuntimeError("the window is gone")

    saver = Saver(lambda state: written.append(state.title), gone)
    for title in ("first", "second"):
        saver.submit(named(title))
        assert saver.flush(LONG_S).saving is Saving.SAVED
    saver.close()
    assert written == ["first", "second"]
    assert [str(error) for error in hooked] == ["the window is gone"] * 2


def changed() -> ChangedElsewhere:
    return ChangedElsewhere("Changed.", Opened(named("theirs"), Stamp("r", 1, 1)))


def test_a_state_that_must_be_merged_first_is_not_tried_again(disk: Disk, saver: Saver) -> None:
    disk.fails = [changed()]
    saver.submit(named("mine"))
    assert disk.await_told().saving is Saving.CHANGED
    status = saver.flush(LONG_S)
    assert isinstance(status.problem, ChangedElsewhere) and disk.written == []
    saver.submit(named("both"))
    assert saver.flush(LONG_S).saving is Saving.SAVED and disk.written == ["both"]


def test_news_of_a_change_elsewhere_does_not_drop_a_newer_state(disk: Disk, saver: Saver) -> None:
    disk.goes_on.clear()
    saver.submit(named("older"))
    assert disk.begun.acquire(timeout=LONG_S)
    disk.fails = [changed()]
    saver.submit(named("newer"))
    disk.goes_on.set()
    disk.await_told()
    assert saver.flush(LONG_S).saving is Saving.SAVED and disk.written == ["newer"]


def test_what_is_withdrawn_is_not_written(disk: Disk, saver: Saver) -> None:
    disk.goes_on.clear()
    saver.submit(named("under way"))
    assert disk.begun.acquire(timeout=LONG_S)
    saver.submit(named("withdrawn"))
    saver.withdraw(0.0)  # while "under way" is still being written
    disk.goes_on.set()
    saver.submit(named("merged"))
    assert saver.flush(LONG_S).saving is Saving.SAVED
    assert "withdrawn" not in disk.written and disk.written[-1] == "merged"


def test_withdrawing_waits_for_a_writing_under_way(disk: Disk, saver: Saver) -> None:
    disk.goes_on.clear()
    saver.submit(named("under way"))
    assert disk.begun.acquire(timeout=LONG_S)
    let_go: Callable[[], None] = disk.goes_on.set
    threading.Thread(target=let_go).start()
    saver.withdraw(LONG_S)
    assert not saver.is_writing and disk.written == ["under way"]


def test_closing_ends_the_thread_and_writes_nothing_more(disk: Disk) -> None:
    disk.fails = [ReviewError("Full.")] * 9
    saver = Saver(disk.write, disk.hear)
    saver.submit(named("never"))
    disk.await_told()
    saver.close()
    assert disk.written == [] and not saver._thread.is_alive()
    assert saver.status.saving is Saving.FAILED
