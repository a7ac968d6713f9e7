"""The guide, the version and the tour."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from pytestqt.qtbot import QtBot

from app.window.feature_list import ACTIONS
from app.window.features.help import guide
from app.window.features.help.guide import GuideDialog, about_text, guide_text
from app.window.features.help.help import Help
from app.window.features.help.tour import STEPS, Tour
from app.window.main_window import MainWindow


def tour_of(bench: MainWindow) -> Tour:
    found = bench.findChild(Tour)
    assert isinstance(found, Tour)
    return found


def test_the_guide_is_read_and_searched_beside_the_bench(bench: MainWindow) -> None:
    bench.menus.actions["guide"].trigger()
    bench.menus.actions["guide"].trigger()
    (dialog,) = bench.findChildren(GuideDialog)
    assert "Take in" in dialog.text.toPlainText()
    dialog.wanted.setText("flywheel")
    dialog.wanted.textEdited.emit("flywheel")
    first = dialog.text.textCursor().position()
    assert dialog.text.textCursor().selectedText().lower() == "flywheel"
    dialog.wanted.returnPressed.emit()
    assert dialog.text.textCursor().position() > first
    dialog.close()


def test_the_guide_names_nothing_that_is_not_there() -> None:
    assert not re.search(r"\]\(", guide_text())


def test_an_installation_has_the_guide_with_it(monkeypatch: pytest.MonkeyPatch) -> None:
    here = guide_text()
    monkeypatch.setattr(guide, "__file__", str(Path("/nowhere/a/b/c/d/guide.py")))
    assert guide_text() == here


def test_the_version_is_said(bench: MainWindow) -> None:
    bench.menus.actions["about"].trigger()
    assert bench.message_line.text == about_text() and "Strokeside" in about_text()


def test_every_step_shows_an_action_there_is() -> None:
    names = {row.name for row in ACTIONS}
    assert {step.action for step in STEPS} - {""} <= names
    keys = {key for row in ACTIONS for key in row.keys} | {"Ctrl+K", "F1"}
    for step in STEPS:
        for key in re.findall(r"\b([A-Z])\b(?= (?:goes|keeps|lays|draws|puts|again))", step.words):
            assert key in keys, step.words


def test_the_tour_goes_on_and_back_and_can_be_left(loaded: MainWindow, qtbot: QtBot) -> None:
    tour = tour_of(loaded)
    assert tour.isHidden()
    loaded.menus.actions["tour"].trigger()
    assert not tour.isHidden() and tour.words.startswith("1 of")
    before = loaded.playhead.wanted_s
    tour.on.click()
    assert tour.words.startswith("2 of") and loaded.playhead.wanted_s > before
    tour.back.click()
    assert tour.words.startswith("1 of") and not tour.back.isEnabled()
    tour.leave.click()
    assert tour.isHidden()
    qtbot.waitUntil(lambda: not loaded.jobs.running, timeout=20_000)


def test_the_tour_ends_after_its_last_step(loaded: MainWindow, qtbot: QtBot) -> None:
    loaded[Help].show_tour()
    tour = tour_of(loaded)
    for _ in STEPS:
        assert not tour.isHidden()
        tour.on.click()
    assert tour.isHidden()
    qtbot.waitUntil(lambda: not loaded.jobs.running, timeout=20_000)


def test_on_an_empty_bench_the_tour_begins_with_the_sample(bench: MainWindow, qtbot: QtBot) -> None:
    bench.menus.actions["tour"].trigger()
    qtbot.waitUntil(lambda: not tour_of(bench).isHidden(), timeout=60_000)
    assert bench.session.review is not None
    qtbot.waitUntil(lambda: not bench.jobs.running, timeout=60_000)
