"""The curve can have the lower half of the window."""

from __future__ import annotations

from pathlib import Path

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtWidgets import QApplication, QLabel
from pytestqt.qtbot import QtBot

from app.review.parts.picture import PictureTurn, TurnPicture
from app.window.actions.feature import Feature
from app.window.actions.layout import NO_PICTURE_PX, TIME_PX, Kind
from app.window.features.line_up.feature import LineUpFeature
from app.window.features.review_file.feature import ReviewFileFeature
from app.window.main_window import MainWindow
from tests.app.window.conftest import open_and_wait


@pytest.fixture
def features() -> tuple[type[Feature], ...]:
    return (ReviewFileFeature, LineUpFeature)


def test_one_key_makes_the_curve_large_and_small_again(loaded: MainWindow, qtbot: QtBot) -> None:
    usual, picture = loaded.curve.size(), loaded.picture.size()
    qtbot.keyClick(loaded, Qt.Key.Key_F5)
    QApplication.processEvents()
    assert loaded.curve.width() * loaded.curve.height() > 1.6 * usual.width() * usual.height()
    assert loaded.stroke_panel.height() > 0.45 * loaded.stage.height()
    assert loaded.picture.isVisible() and loaded.tabs.isVisible()
    qtbot.keyClick(loaded, Qt.Key.Key_F5)
    QApplication.processEvents()
    assert (loaded.curve.size(), loaded.picture.size()) == (usual, picture)


def test_a_film_alone_has_no_empty_axes(bench: MainWindow, submission: Path, qtbot: QtBot) -> None:
    open_and_wait(bench, qtbot, submission / "piece.mp4")
    QApplication.processEvents()
    assert bench.division.kind == Kind.FILM
    assert not bench.curve.isVisible()
    assert bench.trace.height() <= TIME_PX
    assert not bench.trace.getPlotItem().getAxis("left").isVisible()
    assert bench.picture.height() > 0.6 * bench.height()
    (status,) = [w for w in bench.findChildren(QLabel) if "A force file dropped here" in w.text()]
    assert status.isVisible()
    open_and_wait(bench, qtbot, submission / "piece.csv")
    QApplication.processEvents()
    assert bench.division.kind == Kind.BOTH
    assert bench.curve.isVisible() and bench.trace.height() > TIME_PX
    assert bench.trace.getPlotItem().getAxis("left").isVisible()


def test_a_force_alone_has_its_curve_in_the_pictures_place(
    bench: MainWindow, submission: Path, qtbot: QtBot
) -> None:
    open_and_wait(bench, qtbot, submission / "piece.csv")
    QApplication.processEvents()
    assert bench.division.kind == Kind.FORCE
    assert bench.stage.height() <= NO_PICTURE_PX
    assert bench.curve.height() > 0.35 * bench.height()
    assert bench.curve.width() > 0.4 * bench.width()
    # What a feature puts in the picture's place has the room it needs.
    bench.stage.setCurrentIndex(1)
    assert bench.stage.maximumHeight() > bench.height()
    bench.stage.go_home()
    assert bench.stage.maximumHeight() == NO_PICTURE_PX


def test_a_portrait_film_stands_beside_a_tall_curve(loaded: MainWindow) -> None:
    before = loaded.stroke_panel.height()
    loaded.session.do(TurnPicture(PictureTurn(quarter_turns=1)))
    QApplication.processEvents()
    assert loaded.division.kind == Kind.PORTRAIT
    assert loaded.stroke_panel.height() > 1.4 * before
    assert (
        loaded.tabs.mapTo(loaded, QPoint(0, 0)).x()
        >= loaded.curve.mapTo(loaded, QPoint(loaded.curve.width(), 0)).x()
    )
    loaded.session.undo()
    QApplication.processEvents()
    assert loaded.division.kind == Kind.BOTH and loaded.stroke_panel.height() == before


def test_nothing_open_leaves_the_room_to_the_invitation(bench: MainWindow) -> None:
    assert bench.division.kind == Kind.NOTHING
    assert not bench.tabs.isVisible() and not bench.curve.isVisible()
    assert bench.stage.width() == bench.width()
