"""Two athletes of the simulated sample, and the features these tests need."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from pathlib import Path

import pytest
from pytestqt.qtbot import QtBot

from app.prepared.sample_review import sample_review
from app.review.parts.about import SetAthlete
from app.window.actions.feature import Feature
from app.window.features.findings.feature import FindingsFeature
from app.window.features.notes.feature import NotesFeature
from app.window.features.review_file.feature import ReviewFileFeature
from app.window.features.shelf.feature import ShelfFeature
from app.window.main_window import MainWindow
from app.window.session.review_session import ReviewSession


@pytest.fixture
def features() -> tuple[type[Feature], ...]:
    """No more than is spoken of here."""
    return (FindingsFeature, NotesFeature, ShelfFeature, ReviewFileFeature)


@pytest.fixture(scope="session")
def sampled(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The folder of a sample review."""
    return sample_review(tmp_path_factory.mktemp("sampled")).parent


@pytest.fixture(scope="session")
def shelf_of_anna() -> dict[str, bytes]:
    """The file of the shelf after Anna's finding was explained, by its code; empty until then."""
    return {}


@pytest.fixture
def open_as(
    bench: MainWindow, qtbot: QtBot, sampled: Path, tmp_path: Path
) -> Callable[[str], ReviewSession]:
    """Opens the sample as the review of an athlete."""

    def begin(athlete: str) -> ReviewSession:
        folder = tmp_path / athlete
        shutil.copytree(sampled, folder)
        bench.session.open_review(folder / "sample.review")
        at_rest(bench, qtbot)
        qtbot.waitUntil(lambda: bench.picture.frame is not None, timeout=60000)
        bench.session.do(SetAthlete(athlete, "A piece"))
        return bench.session

    return begin


def at_rest(bench: MainWindow, qtbot: QtBot) -> None:
    qtbot.waitUntil(lambda: not bench.jobs.running, timeout=60000)
