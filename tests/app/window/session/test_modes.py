"""Escape leaves every mode, and the bottom line names the one that is on."""

from __future__ import annotations

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from app.window.features.comparing.comparisons import Comparisons
from app.window.main_window import MainWindow
from app.window.session.other_recordings import own_recording

MODES = {
    "draw": "Drawing on the picture",
    "curve_draw": "Drawing on the curve",
    "target_draw": "Drawing the target",
    "blur": "Hiding faces",
    "line_up": "Lining up",
    "lens": "Magnifying glass",
    "strip": "Stroke strip",
}


def leave(bench: MainWindow, qtbot: QtBot) -> None:
    qtbot.keyClick(bench, Qt.Key.Key_Escape)
    QApplication.processEvents()


def test_escape_leaves_every_mode(loaded: MainWindow, qtbot: QtBot) -> None:
    loaded.menus.actions["next_catch"].trigger()
    for name, words in MODES.items():
        action = loaded.menus.actions[name]
        action.trigger()
        assert loaded.modes.any_on and action.isChecked(), name
        assert loaded.message_line.mode.startswith(words), name
        leave(loaded, qtbot)
        assert not loaded.modes.any_on and not action.isChecked(), name
        assert loaded.message_line.mode == "", name


def test_escape_leaves_two_strokes_last(loaded: MainWindow, qtbot: QtBot) -> None:
    own = own_recording(loaded.session)
    first, second = own.strokes()[:2]
    comparing = loaded[Comparisons].comparing
    comparing.add(own.ref(first), own.ref(second), own)
    assert loaded.message_line.mode.startswith("Comparing two strokes")
    qtbot.waitUntil(lambda: comparing.stage.second.shows_footage, timeout=20000)
    loaded.menus.actions["lay_together"].trigger()
    assert loaded.message_line.mode.startswith("Matching the two pictures")
    leave(loaded, qtbot)
    assert comparing.is_shown and not comparing.laying.is_on
    leave(loaded, qtbot)
    assert not comparing.is_shown and loaded.message_line.mode == ""


def test_the_prompt_of_a_mode_goes_with_it(loaded: MainWindow, qtbot: QtBot) -> None:
    loaded.menus.actions["blur"].trigger()
    assert "Drag around a face" in loaded.message_line.text
    leave(loaded, qtbot)
    assert loaded.message_line.text == ""


def test_a_problem_outlives_the_mode(loaded: MainWindow, qtbot: QtBot) -> None:
    loaded.menus.actions["draw"].trigger()
    loaded.messages.warn("The disk is full.")
    leave(loaded, qtbot)
    assert loaded.message_line.text == "The disk is full."


@pytest.mark.parametrize(("key", "says"), [("F", "finding"), ("V", "strip"), ("T", "Target")])
def test_a_key_that_can_do_nothing_says_why(
    bench: MainWindow, qtbot: QtBot, key: str, says: str
) -> None:
    qtbot.keyClick(bench, Qt.Key[f"Key_{key}"])
    assert says in bench.message_line.text and "needs a force file" in bench.message_line.text
