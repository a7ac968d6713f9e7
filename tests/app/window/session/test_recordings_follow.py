"""What is on screen is what the review refers to; footage for a force alone is asked about."""

from __future__ import annotations

from pathlib import Path

import pytest
from PySide6.QtWidgets import QToolButton
from pytestqt.qtbot import QtBot

from app.window.actions.feature import Feature
from app.window.features.review_file.feature import ReviewFileFeature
from app.window.main_window import MainWindow
from tests.app.window.conftest import open_and_wait


@pytest.fixture
def features() -> tuple[type[Feature], ...]:
    return (ReviewFileFeature,)


@pytest.fixture
def force_only(bench: MainWindow, submission: Path, qtbot: QtBot) -> MainWindow:
    open_and_wait(bench, qtbot, submission / "piece.csv")
    assert bench.session.footage is None
    return bench


def press(bench: MainWindow, text: str) -> None:
    (button,) = [b for b in bench.message_line.findChildren(QToolButton) if b.text() == text]
    button.click()


def idle(bench: MainWindow, qtbot: QtBot) -> None:
    qtbot.waitUntil(lambda: not bench.jobs.running, timeout=20000)


def test_footage_is_added_when_told_and_leaves_with_undo(
    force_only: MainWindow, submission: Path, qtbot: QtBot
) -> None:
    bench = force_only
    bench.session.open_paths([submission / "piece.mp4"])
    assert not bench.jobs.running and "Nothing was added yet" in bench.message_line.text
    assert bench.session.state.video is None
    press(bench, "Add it to this review")
    idle(bench, qtbot)
    assert bench.session.footage is not None and bench.session.state.video is not None
    bench.session.undo()
    assert bench.session.state.video is None and bench.session.footage is None
    assert bench.session.submission.piece is not None
    qtbot.waitUntil(lambda: bench.picture.frame is None, timeout=10000)
    bench.session.redo()
    idle(bench, qtbot)
    assert bench.session.footage is not None
    qtbot.waitUntil(lambda: bench.picture.frame is not None, timeout=10000)


def test_or_a_new_review_is_begun(force_only: MainWindow, submission: Path, qtbot: QtBot) -> None:
    """One for the clip alone; that of the force stays as it is."""
    bench = force_only
    first = bench.session.review
    clip = submission / "another.mp4"
    (submission / "piece.mp4").rename(clip)
    bench.session.open_paths([clip])
    press(bench, "Begin a new review")
    idle(bench, qtbot)
    review = bench.session.review
    assert review is not None and review is not first and review.path is not None
    assert review.path.name == "another.review"
    assert bench.session.footage is not None
    assert bench.session.submission.piece is None
