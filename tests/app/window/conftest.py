"""A bench that is really shown, with a real clip and a real force file."""

from __future__ import annotations

import shutil
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path

import pytest
from PySide6.QtCore import QEvent
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from app.window.actions.feature import Feature
from app.window.features.notes.voice import Voice
from app.window.main_window import MainWindow
from app.window.session.settings import Settings
from app.window.sound.microphone_use import MicrophoneUse
from app.window.tasks.process_pool import ProcessPool
from app.window.widgets.theme import dress
from tests.helpers.clips import make_clip
from tests.helpers.patience import HANGS_MS
from tests.helpers.pieces import FOUR_STROKES
from tests.helpers.voices import FakeMicrophones

CLIP = "h264_long"
Features = Sequence[type[Feature]] | None


@pytest.fixture(scope="session")
def recorded(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with a clip of 200 numbered frames and a force file of four strokes."""
    folder = tmp_path_factory.mktemp("recorded")
    make_clip(folder, CLIP).rename(folder / "piece.mp4")
    FOUR_STROKES.write(folder / "piece.csv")
    return folder


@pytest.fixture
def submission(recorded: Path, tmp_path: Path) -> Path:
    """A fresh copy to work on."""
    for name in ("piece.mp4", "piece.csv"):
        shutil.copyfile(recorded / name, tmp_path / name)
    return tmp_path


class _SharedAside(ProcessPool):
    """Children that serve one bench after another: to start one for each would take a while."""

    def close(self) -> None:
        """The end of a bench is not theirs."""

    def end(self) -> None:
        super().close()


@pytest.fixture(scope="session")
def aside() -> Iterator[ProcessPool]:
    shared = _SharedAside()
    yield shared
    shared.end()


@pytest.fixture
def features() -> Features:
    """Which features a bench is built of; the folder of a feature names those it needs."""
    return None


@pytest.fixture(scope="session")
def dressed(qapp: QApplication) -> QApplication:
    """The application in the bench's dress, once: each further time all that lives is polished."""
    dress(qapp)
    return qapp


@pytest.fixture
def make_bench(
    dressed: QApplication, qtbot: QtBot, tmp_path: Path, aside: ProcessPool, features: Features
) -> Iterator[Callable[..., MainWindow]]:
    """Makes benches and closes them; what was loading is waited for."""
    made: list[MainWindow] = []

    def make(by_itself: bool = False) -> MainWindow:
        settings = Settings(tmp_path / "settings.json")
        settings.lines_up_by_itself = by_itself
        bench = MainWindow(settings, features)
        bench.jobs.process_pool = aside
        # No test depends on what the machine can hear, or makes a sound.
        bench[MicrophoneUse].microphones = FakeMicrophones()
        if Voice in bench.context:
            bench[Voice].player.open_speaker = lambda _pcm, _hz, _parent: None
        bench.resize(1280, 800)
        with qtbot.waitExposed(bench):
            bench.show()
        made.append(bench)
        return bench

    yield make
    for bench in made:
        bench.close()
        bench.deleteLater()
        # Now, not in the loop of the next test, where it would be painted beside the next bench.
        dressed.sendPostedEvents(bench, QEvent.Type.DeferredDelete.value)


@pytest.fixture
def bench(make_bench: Callable[..., MainWindow]) -> MainWindow:
    """An empty bench."""
    return make_bench()


@pytest.fixture
def loaded(bench: MainWindow, submission: Path, qtbot: QtBot) -> MainWindow:
    """A bench with footage and force, standing at the start."""
    open_and_wait(bench, qtbot, submission / "piece.mp4", submission / "piece.csv")
    return bench


def open_and_wait(bench: MainWindow, qtbot: QtBot, *paths: Path) -> None:
    bench.session.open_paths(paths)
    qtbot.waitUntil(lambda: not bench.jobs.running, timeout=HANGS_MS)
    if bench.session.footage is not None:
        qtbot.waitUntil(lambda: bench.picture.frame is not None, timeout=HANGS_MS)


@pytest.fixture(autouse=True)
def what_is_said_stays(monkeypatch: pytest.MonkeyPatch) -> None:
    """A busy machine may come to reading it only when the coach has long read it."""
    monkeypatch.setattr("app.window.tasks.message_line.STAYS_MS", HANGS_MS)


@pytest.fixture(autouse=True)
def nothing_written_down(monkeypatch: pytest.MonkeyPatch) -> None:
    """Tests that speak shall not wait for what is spoken to be written down; its own tests ask."""
    monkeypatch.setattr("app.window.sound.writing_down.can_write_down", lambda: False)
