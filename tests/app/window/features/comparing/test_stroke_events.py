"""The events of the two strokes: set by hand, from the force, and what needs them."""

from __future__ import annotations

from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from pytestqt.qtbot import QtBot

from analysis.comparing.phase import phase_of
from app.window.features.comparing.comparison_chooser import ComparisonChooser
from app.window.features.comparing.comparison_tab import NO_FORCE
from app.window.features.comparing.comparisons import Comparisons
from app.window.features.comparing.pair_view import PairView
from app.window.main_window import MainWindow
from app.window.session.other_recordings import own_recording
from tests.app.window.conftest import open_and_wait
from tests.helpers.compared import compare, line_up, selected, settle

Key = Qt.Key


def test_events_are_set_on_the_frame_seen(loaded: MainWindow, qtbot: QtBot) -> None:
    comparison = compare(loaded, qtbot)
    footage = loaded.session.footage
    assert footage is not None
    frame = footage.index.at(comparison.left.catch_s) + 4
    loaded.playhead.seek(float(footage.index.time_s[frame]))
    settle(loaded, qtbot)
    loaded.menus.actions["left_catch"].trigger()
    assert selected(loaded).left.catch_s == float(footage.index.time_s[frame])
    # A next catch before the finish is refused, and nothing is lost.
    kept = selected(loaded)
    loaded.menus.actions["left_next_catch"].trigger()
    assert selected(loaded) == kept
    assert "Nothing was changed" in loaded.message_line.text


def test_a_right_catch_set_by_hand_leaves_the_picture_where_it_is(
    loaded: MainWindow, qtbot: QtBot
) -> None:
    comparison = compare(loaded, qtbot)
    loaded.playhead.seek(comparison.left.catch_s)
    for _ in range(3):
        qtbot.keyClick(loaded, Key.Key_Right, Qt.KeyboardModifier.ControlModifier)
    settle(loaded, qtbot)
    comparing = loaded[Comparisons].comparing
    before = comparing.stage.second.frame
    loaded.menus.actions["right_catch"].trigger()
    settle(loaded, qtbot)
    after = comparing.stage.second.frame
    assert before is not None and after is not None and after.index == before.index
    moved_s = selected(loaded).right.catch_s - comparison.right.catch_s
    assert moved_s == pytest.approx(3 / 30, abs=0.5 / 30)


def test_without_force_the_events_are_named_by_hand(
    bench: MainWindow, submission: Path, qtbot: QtBot
) -> None:
    open_and_wait(bench, qtbot, submission / "piece.mp4")
    qtbot.keyClick(bench, Key.Key_C)
    (chooser,) = bench.findChildren(ComparisonChooser)
    qtbot.waitUntil(lambda: not bench.jobs.running, timeout=60000)
    assert "by hand" in chooser._strokes.item(0).text()
    chooser.accept()
    settle(bench, qtbot)
    footage = bench.session.footage
    assert footage is not None
    times = footage.index.time_s
    for frame, event in ((6, "catch"), (30, "finish"), (66, "next_catch")):
        bench.playhead.seek(float(times[frame]))
        bench.menus.actions[f"left_{event}"].trigger()
    left = selected(bench).left
    assert [left.catch_s, left.finish_s, left.next_catch_s] == [
        float(times[f]) for f in (6, 30, 66)
    ]
    assert "has no force" in bench[Comparisons].curves.words
    assert bench[Comparisons].tab.words == NO_FORCE


def test_the_events_come_from_the_force_where_it_is_lined_up(
    loaded: MainWindow, qtbot: QtBot
) -> None:
    compare(loaded, qtbot)
    adjusting = loaded[Comparisons].adjusting
    before = selected(loaded)
    loaded.menus.actions["events_from_force"].trigger()  # nobody lined up: nothing is known
    assert selected(loaded) == before
    line_up(loaded)
    for frame, event in ((1, "catch"), (-2, "finish")):
        at_s = before.left.catch_s if event == "catch" else before.left.finish_s
        loaded.playhead.seek(at_s + frame / 30.0)
        adjusting.set_event("left", event)  # type: ignore[arg-type]
    picked = selected(loaded)
    assert picked.left != before.left
    loaded.menus.actions["events_from_force"].trigger()
    own, now = own_recording(loaded.session), selected(loaded)
    told = [own.ref(s) for s in own.strokes()[:2]]
    assert (now.left.times, now.right.times) == (told[0].times, told[1].times)
    assert (now.left.label, now.right.label) == (before.left.label, before.right.label)
    loaded.session.undo()
    assert selected(loaded) == picked


def test_curves_and_measures_need_a_line_up_and_then_come(loaded: MainWindow, qtbot: QtBot) -> None:
    compare(loaded, qtbot)
    assert "not lined up" in loaded[Comparisons].curves.words
    line_up(loaded)
    curves = loaded[Comparisons].curves
    assert curves.pair is not None
    qtbot.waitUntil(lambda: not loaded.jobs.running, timeout=20000)
    table = loaded[Comparisons].tab.table
    names = [table.item(i, 0).text() for i in range(table.rowCount())]
    assert "Peak force, N" in names
    # Four strokes are too few to say how they vary, and that is what is said.
    assert {table.item(i, 5).text() for i in range(table.rowCount())} == {"too few"}
    for axis in ("length", "percent"):
        curves.set_axis(axis)
        assert curves.axis == axis


def test_a_click_on_the_curves_moves_the_one_playhead(loaded: MainWindow, qtbot: QtBot) -> None:
    compare(loaded, qtbot)
    line_up(loaded)
    comparison, curves = selected(loaded), loaded[Comparisons].curves
    curves.set_axis("percent")
    view = loaded.findChild(PairView)
    view.along_wanted.emit(50.0)
    settle(loaded, qtbot)
    # Half of the drive's time: both strokes stand there, so the two lines are one.
    assert phase_of(comparison.left.times, loaded.playhead.wanted_s) == pytest.approx(0.5, abs=0.02)
    left, right = view.cursors.places
    assert left is not None and right is not None
    a_frame = view.width() / 30
    assert abs(left - right) <= a_frame
