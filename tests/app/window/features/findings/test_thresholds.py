"""Changing what the findings are held against."""

from __future__ import annotations

from PySide6.QtWidgets import QLabel
from pytestqt.qtbot import QtBot

from analysis.findings.catalogue import read_catalogue
from analysis.findings.thresholds import TABLE
from app.window.features.findings.thresholds import ThresholdsDialog
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
    assert dict(loaded.session.state.thresholds) == {own.name: own.value + 2}
    loaded.menus.actions["undo"].trigger()
    assert loaded.session.state.thresholds == ()
    assert box.value() == own.value
    loaded.menus.actions["redo"].trigger()
    dialog._resets[own.name].click()
    assert loaded.session.state.thresholds == ()
    qtbot.waitUntil(lambda: not loaded.jobs.running, timeout=20000)
    dialog.close()


def test_numbers_stand_under_their_finding_in_words(loaded: MainWindow, qtbot: QtBot) -> None:
    dialog = ThresholdsDialog(loaded.session)
    qtbot.addWidget(dialog)
    words = [label.text() for label in dialog.findChildren(QLabel)]
    titles = {entry.title for entry in read_catalogue().entries.values()}
    codes = {threshold.name.split(".")[0] for threshold in TABLE}
    headings = [word for word in words if word in titles]
    assert len(headings) == len(set(headings)) >= len(codes) - 5
    # The names of the table are for files; a coach reads what each number decides.
    assert not {threshold.name for threshold in TABLE} & set(words)
    assert "severity 1" not in words
    assert set(dialog._boxes) == {threshold.name for threshold in TABLE}
