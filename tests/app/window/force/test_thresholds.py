"""Changing what the findings are held against."""

from __future__ import annotations

from pytestqt.qtbot import QtBot

from analysis.findings.thresholds import TABLE
from app.window.force.thresholds import ThresholdsDialog
from app.window.main_window import MainWindow


def test_a_changed_threshold_is_kept_undone_and_given_back(
    loaded: MainWindow, qtbot: QtBot
) -> None:
    loaded.menus.actions["thresholds"].trigger()
    dialog = loaded.findChild(ThresholdsDialog)
    assert dialog is not None
    own = TABLE[0]
    box = dialog._boxes[own.name]
    box.setValue(own.value + 2)
    assert dict(loaded.desk.state.thresholds) == {own.name: own.value + 2}
    loaded.menus.actions["undo"].trigger()
    assert loaded.desk.state.thresholds == ()
    assert box.value() == own.value
    loaded.menus.actions["redo"].trigger()
    dialog._resets[own.name].click()
    assert loaded.desk.state.thresholds == ()
    qtbot.waitUntil(lambda: not loaded.jobs.running, timeout=20000)
    dialog.close()
