"""Nothing is open: the bench says how to begin. Another submission: nothing of the last stays."""

from __future__ import annotations

import shutil
from pathlib import Path

from PySide6.QtWidgets import QLabel, QPushButton
from pytestqt.qtbot import QtBot

from app.window.features.line_up.line_up_status import LineUpStatus
from app.window.features.notes.feature import NotesFeature
from app.window.features.review_file.feature import ReviewFileFeature
from app.window.features.review_file.invitation import INVITES
from app.window.main_window import MainWindow
from tests.app.window.conftest import open_and_wait


def _offers(bench: MainWindow) -> list[str]:
    return [
        b.text()
        for b in bench[ReviewFileFeature].invitation.findChildren(QPushButton)
        if b.isVisible()
    ]


def test_the_empty_bench_invites(bench: MainWindow) -> None:
    assert bench.stage.currentWidget() is bench[ReviewFileFeature].invitation
    words = {label.text() for label in bench[ReviewFileFeature].invitation.findChildren(QLabel)}
    assert INVITES in words
    assert [offer.split("   ")[0] for offer in _offers(bench)] == [
        bench.menus.actions["open"].text(),
        bench.menus.actions["sample"].text(),
    ]
    (status,) = bench.findChildren(LineUpStatus)
    assert not status.isVisible()


def test_the_invitation_leaves_when_something_is_opened(loaded: MainWindow) -> None:
    assert loaded.stage.currentIndex() == 0
    assert loaded.picture.isVisible()


def test_it_offers_what_was_worked_on_lately(
    bench: MainWindow, submission: Path, qtbot: QtBot
) -> None:
    review = submission / "piece.review"
    open_and_wait(bench, qtbot, submission / "piece.mp4")
    bench.stage.setCurrentWidget(bench[ReviewFileFeature].invitation)
    qtbot.waitUntil(lambda: any(o.startswith("piece") for o in _offers(bench)))
    (offer,) = [o for o in _offers(bench) if o.startswith("piece")]
    assert submission.name in offer and review.is_file()


def test_nothing_of_the_last_submission_stays(
    loaded: MainWindow, submission: Path, tmp_path: Path, qtbot: QtBot
) -> None:
    loaded.menus.actions["note"].trigger()
    loaded.menus.actions["target_steady"].trigger()
    assert loaded.trace._notes and loaded[NotesFeature].panel._list.count() == 1
    other = tmp_path / "another"
    other.mkdir()
    for name in ("piece.mp4", "piece.csv"):
        shutil.copy(submission / name, other / name)
    open_and_wait(loaded, qtbot, other / "piece.mp4", other / "piece.csv")
    assert loaded.session.state.notes == ()
    assert loaded.trace._notes == ()
    assert loaded[NotesFeature].panel._list.count() == 0
    assert loaded.curve._target is None
