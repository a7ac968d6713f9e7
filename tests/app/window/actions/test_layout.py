"""The curve can have the lower half of the window."""

from __future__ import annotations

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from app.window.actions.feature import Feature
from app.window.features.review_file.feature import ReviewFileFeature
from app.window.main_window import MainWindow


@pytest.fixture
def features() -> tuple[type[Feature], ...]:
    return (ReviewFileFeature,)


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
