"""Zoom, lens, light and the corner of the picture."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from PySide6.QtCore import QPoint, QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QColor
from pytestqt.qtbot import QtBot

from app.window.main_window import MainWindow
from app.window.views.zoom import CLOSEST, FIT, Zoom

shares = st.floats(0.0, 1.0)


@given(st.floats(1.0, CLOSEST), shares, shares, st.floats(0.2, 5.0), shares, shares)
def test_zooming_never_shows_beyond_the_edge(
    factor: float, x: float, y: float, by: float, at_x: float, at_y: float
) -> None:
    zoom = Zoom(factor, x, y).about(QPointF(at_x, at_y), by)
    room = QRectF(0, 0, 800, 450)
    rect = zoom.rect_in(room, QSize(800, 450))
    assert rect.adjusted(-1e-6, -1e-6, 1e-6, 1e-6).contains(room)
    assert 1.0 <= zoom.factor <= CLOSEST


def test_zooming_holds_the_place_under_the_pointer() -> None:
    room, fit = QRectF(0, 0, 800, 450), QSize(800, 450)
    place = QPointF(0.4, 0.6)
    before = FIT.rect_in(room, fit)
    after = FIT.about(place, 2.0).rect_in(room, fit)
    for rect in (before, after):
        where = rect.left() + place.x() * rect.width(), rect.top() + place.y() * rect.height()
        assert where == (pytest.approx(320.0), pytest.approx(270.0))


def test_zoom_keys_and_double_click(loaded: MainWindow, qtbot: QtBot) -> None:
    whole = loaded.picture.picture_rect()
    qtbot.keyClick(loaded, Qt.Key.Key_Z)
    assert loaded.picture.picture_rect().width() == pytest.approx(1.5 * whole.width(), rel=0.01)
    qtbot.mouseDClick(loaded.picture, Qt.MouseButton.LeftButton)
    assert loaded.picture.picture_rect() == whole


def test_lens_magnifies_what_is_under_it(loaded: MainWindow, qtbot: QtBot) -> None:
    rect = loaded.picture.picture_rect().toRect()
    corner = rect.bottomLeft() + QPoint(12, -12)  # red in the clip
    beyond = corner + QPoint(85, -85)  # within the lens, outside the red corner
    plain = loaded.picture.grab().toImage()
    qtbot.keyClick(loaded, Qt.Key.Key_G)
    qtbot.mouseMove(loaded.picture, corner)
    qtbot.waitUntil(lambda: loaded.picture._lens_at == QPointF(corner), timeout=5000)
    near = loaded.picture.grab().toImage()
    inside = corner + QPoint(40, -40)
    assert near.pixelColor(inside).red() > 150
    assert near.pixelColor(beyond) != QColor()
    qtbot.keyClick(loaded, Qt.Key.Key_G)
    assert loaded.picture.grab().toImage().pixelColor(inside) == plain.pixelColor(inside)


def test_lighter_is_seen_and_kept_in_the_review(loaded: MainWindow, qtbot: QtBot) -> None:
    at = loaded.picture.picture_rect().center().toPoint()
    before = loaded.picture.grab().toImage().pixelColor(at).lightness()
    qtbot.keyClick(loaded, Qt.Key.Key_B)
    qtbot.keyClick(loaded, Qt.Key.Key_B)
    assert loaded.session.state.turn.lift == 0.5
    assert loaded.picture.grab().toImage().pixelColor(at).lightness() > before + 10
    for _ in range(2):
        qtbot.keyClick(loaded, Qt.Key.Key_B, Qt.KeyboardModifier.ShiftModifier)
    assert loaded.picture.grab().toImage().pixelColor(at).lightness() == before


def test_frame_number_and_time_from_a_moment(loaded: MainWindow, qtbot: QtBot) -> None:
    loaded.menus.actions["numbers"].trigger()
    loaded.menus.actions["time_from_here"].trigger()
    for _ in range(3):
        qtbot.keyClick(loaded, Qt.Key.Key_Right)
    qtbot.waitUntil(lambda: loaded.playhead.time_s == loaded.playhead.wanted_s)
    assert loaded.picture._legend == "0:00.100   frame 4   from the mark +0.100 s"
    loaded.menus.actions["time_from_here"].trigger()
    loaded.menus.actions["numbers"].trigger()
    assert loaded.picture._legend == ""
