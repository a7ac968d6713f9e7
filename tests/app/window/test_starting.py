"""The window is on the screen before its parts are made, and what is made then is the same."""

from __future__ import annotations

import json
import subprocess
import sys
from collections import Counter
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import QPoint
from PySide6.QtWidgets import QApplication, QWidget
from pytestqt.qtbot import QtBot

from app.window.__main__ import _open
from app.window.crash import STARTING, CrashWatch
from app.window.main_window import MainWindow
from app.window.session.settings import Settings
from app.window.starting import MODULES, Starting
from tests.helpers.patience import HANGS_S

ROOT = Path(__file__).parents[3]
HEAVY = (
    "pandas",
    "scipy",
    "matplotlib",
    "av",
    "cv2",
    "pyloudnorm",
    "jinja2",
    "html5lib",
    "PIL",
    "sqlalchemy",
)
BEFORE_PAINTING = (*HEAVY, "numpy", "pyqtgraph", "sqlite3", "analysis", "app.review", "app.bundle")
WATCHED = f"""
import json, sys
import app.window.__main__ as opening
from app.window import starting

def loaded(names):
    print(json.dumps([name for name in names if name in sys.modules]), flush=True)

class Watched(starting.Starting):
    def __init__(self, window, then):
        window.opening_page.painted.connect(lambda: loaded({BEFORE_PAINTING!r}))
        super().__init__(window, then)

def made(window, paths):
    loaded({HEAVY!r})
    window.close()

starting.Starting = Watched
opening._open = made
sys.exit(opening.open_window([], ["strokeside"]))
"""


def test_nothing_heavy_is_loaded_before_the_window_is_there() -> None:
    """Nor before the bench is made: then `warm_up` begins, off the window's thread."""
    said = subprocess.run(
        [sys.executable, "-c", WATCHED], capture_output=True, text=True, cwd=ROOT, timeout=HANGS_S
    )
    assert said.returncode == 0, said.stderr
    painted, made = (json.loads(line) for line in said.stdout.splitlines())
    assert painted == [] and made == []


def test_what_is_named_to_be_loaded_is_needed(bench: MainWindow) -> None:
    assert set(MODULES) <= set(sys.modules)


@pytest.fixture
def opening(
    dressed: QApplication, qtbot: QtBot, tmp_path: Path
) -> Iterator[Callable[[], MainWindow]]:
    """Makes windows that are shown, and of which nothing is made yet."""
    windows = []

    def open_one() -> MainWindow:
        window = MainWindow(Settings(tmp_path / "other.json"), in_steps=True)
        windows.append(window)
        window.resize(1280, 800)
        window.show()
        return window

    yield open_one
    for window in windows:
        window.close()
        window.deleteLater()


def _seen(window: MainWindow) -> Counter[tuple[object, ...]]:
    """What is seen of a window: each widget by its kind and name, and where it stands."""
    return Counter(
        (
            type(w).__name__,
            w.accessibleName(),
            w.mapTo(window, QPoint()).toTuple(),
            w.size().toTuple(),
        )
        for w in window.findChildren(QWidget)
        if w.isVisible()
    )


def test_made_in_steps_it_is_the_same(
    bench: MainWindow, opening: Callable[[], MainWindow], qtbot: QtBot
) -> None:
    window, done = opening(), []
    starting = Starting(window, lambda: done.append(window.is_made))
    assert not window.is_made
    qtbot.waitUntil(lambda: bool(done), timeout=60000)
    starting.stop()
    assert done == [True]
    qtbot.waitUntil(lambda: _seen(window) == _seen(bench), timeout=5000)


def test_closed_meanwhile_it_is_closed(opening: Callable[[], MainWindow], qtbot: QtBot) -> None:
    window, done = opening(), []
    starting = Starting(window, lambda: done.append(True))
    starting._go_on()
    assert window.close() and not window.isVisible()
    starting._go_on()
    assert not starting._turn.isActive() and not done


def test_files_dropped_meanwhile_are_opened(
    opening: Callable[[], MainWindow], submission: Path, qtbot: QtBot
) -> None:
    window = opening()
    window.drop([submission / "piece.csv"])
    window.make_the_rest()
    _open(window, [])
    qtbot.waitUntil(lambda: window.session.submission.piece is not None, timeout=60000)
    qtbot.waitUntil(lambda: not window.jobs.running, timeout=60000)


def test_what_cannot_be_made_is_said_in_its_place(
    opening: Callable[[], MainWindow], tmp_path: Path, qtbot: QtBot
) -> None:
    def missing() -> Iterator[None]:
        raise ImportError("no such library")
        yield

    window = opening()
    watch = CrashWatch(window.opening_page, tmp_path)
    watch.words = STARTING
    starting = Starting(window, lambda: None)
    starting._steps = missing()
    try:
        starting._go_on()
    except ImportError:
        sys.excepthook(*sys.exc_info())
    finally:
        watch.stop()
    assert "could not be opened" in window.opening_page.text()
    assert str(tmp_path) in window.opening_page.text() and not starting._turn.isActive()
