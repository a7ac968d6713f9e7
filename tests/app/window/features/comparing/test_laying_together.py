"""Two pictures laid together by clicks, shifted, mirrored and zoomed."""

from __future__ import annotations

import pytest
from PySide6.QtCore import QPoint, QPointF, Qt
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from analysis.comparing.picture_fit import PictureFit
from app.window.features.comparing.comparisons import Comparisons
from app.window.main_window import MainWindow
from tests.helpers.compared import compare, selected, settle

Key = Qt.Key

LEFT = Qt.MouseButton.LeftButton


def test_shifting_moves_the_right_picture_by_whole_frames(loaded: MainWindow, qtbot: QtBot) -> None:
    comparison = compare(loaded, qtbot)
    footage = loaded.session.footage
    assert footage is not None
    loaded.playhead.seek(float(footage.index.time_s[footage.index.at(comparison.left.catch_s) + 3]))
    loaded[Comparisons].adjusting.set_timing("real")
    settle(loaded, qtbot)
    before = loaded[Comparisons].comparing.stage.second.frame
    assert before is not None
    for _ in range(2):
        qtbot.keyClick(loaded, Key.Key_Right, Qt.KeyboardModifier.ControlModifier)
    settle(loaded, qtbot)
    after = loaded[Comparisons].comparing.stage.second.frame
    assert after is not None and after.index == before.index + 2
    assert selected(loaded).timing == "free"
    loaded.session.undo()  # both presses are one pull
    assert selected(loaded).timing == "real"


@pytest.mark.parametrize("zoom", [1.0, 2.0])
def test_two_clicks_in_each_picture_lay_them_together(
    loaded: MainWindow, qtbot: QtBot, zoom: float
) -> None:
    compare(loaded, qtbot)
    stage = loaded[Comparisons].comparing.stage
    wanted = PictureFit(True, 0.8, 20.0, 10.0)
    loaded.picture.zoom_by(zoom)
    loaded.menus.actions["lay_together"].trigger()
    assert stage.hint.isVisible() and "Left picture" in stage.hint.text()
    for right in ((120.0, 100.0), (200.0, 90.0)):
        left = (0.8 * (320 - right[0]) + 20.0, 0.8 * right[1] + 10.0)
        at = loaded.picture.video_transform().map(QPointF(*left)).toPoint()
        QTest.mouseClick(stage.sheets["right"], LEFT, pos=at)  # not asked for: counts for nothing
        QTest.mouseClick(stage.sheets["left"], LEFT, pos=at)
        at = stage.second.video_transform().map(QPointF(*right)).toPoint()
        QTest.mouseClick(stage.sheets["right"], LEFT, pos=at)
    fit = selected(loaded).fit
    assert fit.mirrored
    assert fit.scale == pytest.approx(wanted.scale, abs=0.03)
    assert not stage.hint.isVisible()
    # A place of the right picture is now seen where the left one has it.
    for right in ((120.0, 100.0), (200.0, 90.0)):
        left = (0.8 * (320 - right[0]) + 20.0, 0.8 * right[1] + 10.0)
        there = loaded.picture.video_transform().map(QPointF(*left))
        here = stage.second.video_transform().map(QPointF(*right))
        assert abs(there.x() - here.x()) <= 2.0 and abs(there.y() - here.y()) <= 2.0


def test_escape_gives_up_laying_together(loaded: MainWindow, qtbot: QtBot) -> None:
    before = compare(loaded, qtbot)
    stage = loaded[Comparisons].comparing.stage
    loaded.menus.actions["lay_together"].trigger()
    QTest.mouseClick(stage.sheets["left"], LEFT, pos=QPoint(100, 100))
    qtbot.keyClick(loaded, Key.Key_Escape)
    assert not stage.hint.isVisible() and not stage.sheets["left"].isVisible()
    assert selected(loaded) == before


def test_the_right_picture_zooms_with_the_left(loaded: MainWindow, qtbot: QtBot) -> None:
    compare(loaded, qtbot)
    stage = loaded[Comparisons].comparing.stage
    point = QPointF(100, 90)
    for turn in range(4):
        loaded.menus.actions["turn"].trigger()
        loaded.picture.zoom_by(1.4, QPointF(50, 60))
        there = loaded.picture.video_transform().map(point)
        here = stage.second.video_transform().map(point)
        assert (there - here).manhattanLength() <= 1.0, turn
