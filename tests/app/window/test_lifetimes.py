"""Opening and closing the window leaves nothing alive."""

from __future__ import annotations

import gc
import sys
import threading
import weakref
from collections.abc import Callable
from pathlib import Path

import shiboken6
from PySide6.QtWidgets import QWidget
from pytestqt.qtbot import QtBot

from app.window.main_window import MainWindow
from app.window.tasks.process_pool import ProcessPool
from tests.app.window.conftest import open_and_wait
from tests.helpers.patience import HANGS_S


def test_windows_leave_nothing(
    make_bench: Callable[..., MainWindow], submission: Path, qtbot: QtBot
) -> None:
    for thread in threading.enumerate():
        if thread.name == "warming up":  # of a test before: at its end nothing is garbage any more
            thread.join(HANGS_S)
    before = set(threading.enumerate())
    left: list[weakref.ref[object]] = []
    for _ in range(3):
        bench = make_bench()
        bench.jobs.process_pool = (
            ProcessPool()
        )  # its own, not the one that serves bench after bench
        open_and_wait(bench, qtbot, submission / "piece.mp4", submission / "piece.csv")
        bench.playhead.play()
        parts = (bench, bench.playhead, bench.picture, bench.trace, bench.curve, bench.session)
        left += [weakref.ref(part) for part in parts]
        bench.close()
        qtbot.waitUntil(lambda: not (set(threading.enumerate()) - before), timeout=10000)
        shiboken6.delete(bench)
        del bench, parts
    frame = make_bench.__closure__
    assert frame is not None
    for cell in frame:  # the fixture's own list of what it made
        if isinstance(cell.cell_contents, list):
            cell.cell_contents.clear()
    gc.collect()
    alive = [ref() for ref in left if ref() is not None and shiboken6.isValid(ref())]
    assert alive == []


def test_qt_calls_do_not_lose_references(qapp) -> None:  # type: ignore[no-untyped-def]
    """Some builds of the Qt binding lose a reference to None at each void call and abort."""
    widget = QWidget()
    before = sys.getrefcount(None)
    for _ in range(1000):
        widget.update()
    assert sys.getrefcount(None) - before > -100
