"""Two strokes on one playhead: the frames that stand together, and what a coach does to them."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QComboBox, QToolButton
from pytestqt.qtbot import QtBot

from analysis.comparing.phase import phase_of
from app.review.file.store import read_review
from app.review.parts.comparisons import EditComparison
from app.review.references import list_references
from app.review.values.stroke_ref import StrokeRef
from app.window.features.comparing.comparison_chooser import ComparisonChooser
from app.window.features.comparing.comparisons import Comparisons
from app.window.features.comparing.reference_dialog import ReferenceDialog
from app.window.features.comparing.self_test_dialog import SelfTestDialog
from app.window.features.stroke_strip.strips import Strips
from app.window.main_window import MainWindow
from app.window.session.other_recordings import library_folder
from app.window.session.settings import CACHE_MB, Settings
from app.window.views.frame_supply import MB
from tests.app.window.unsaved import saved
from tests.helpers.compared import compare, line_up, selected, settle

Key = Qt.Key


def test_each_frame_on_the_left_has_the_frame_of_its_phase(
    loaded: MainWindow, qtbot: QtBot
) -> None:
    comparison = compare(loaded, qtbot)
    comparing, footage = loaded[Comparisons].comparing, loaded.session.footage
    assert footage is not None
    times = footage.index.time_s
    first = footage.index.at(comparison.left.catch_s) + 1
    last = footage.index.at(comparison.left.next_catch_s)
    for frame in np.linspace(first, last, 6).astype(int):
        loaded.playhead.seek(float(times[frame]))
        settle(loaded, qtbot)
        second = comparing.stage.second.frame
        assert second is not None
        apart = phase_of(comparison.left.times, float(times[frame])) - phase_of(
            comparison.right.times, float(times[second.index])
        )
        part = comparison.right.finish_s - comparison.right.catch_s
        rest = comparison.right.next_catch_s - comparison.right.finish_s
        half_a_frame = 0.5 * float(np.diff(times).max()) / min(part, rest)
        assert abs(apart) <= half_a_frame + 1e-9
    assert comparing.stage.second.frame is not None


def test_play_runs_both_round_the_left_stroke(loaded: MainWindow, qtbot: QtBot) -> None:
    comparison = compare(loaded, qtbot)
    loop = loaded.playhead.loop
    assert loop is not None
    assert (loop.start_s, loop.end_s) == (comparison.left.catch_s, comparison.left.next_catch_s)
    stage, seen = loaded[Comparisons].comparing.stage, set()
    loaded[Comparisons].comparing.second.frame_ready.connect(lambda f: f and seen.add(f.index))
    qtbot.keyClick(loaded, Key.Key_Space)
    qtbot.waitUntil(lambda: len(seen) > 8, timeout=10000)
    qtbot.keyClick(loaded, Key.Key_Space)
    assert stage.second.frame is not None
    qtbot.keyClick(loaded, Key.Key_C)
    assert loaded.playhead.loop is None
    assert not stage.second.isVisible()


def test_showing_and_hiding_is_told_and_shares_the_memory(loaded: MainWindow, qtbot: QtBot) -> None:
    told: list[str] = []
    loaded[Comparisons].comparing.shown.connect(told.append)
    loaded[Strips].toggle()
    comparison = compare(loaded, qtbot)
    assert not loaded[Strips].is_shown
    both = loaded.supply.cache_bytes + loaded[Comparisons].comparing.second.cache_bytes
    assert both <= CACHE_MB[0] * MB
    qtbot.keyClick(loaded, Key.Key_C)
    assert loaded.supply.cache_bytes == CACHE_MB[0] * MB
    qtbot.keyClick(loaded, Key.Key_C)
    assert told == [comparison.id, "", comparison.id]


def test_undo_takes_the_comparison_away_and_brings_it_back(
    loaded: MainWindow, qtbot: QtBot
) -> None:
    comparison = compare(loaded, qtbot)
    loaded.session.undo()
    assert not loaded[Comparisons].comparing.is_shown
    loaded.session.redo()
    assert loaded.session.state.comparisons == (comparison,)
    assert read_review(saved(loaded, qtbot)).comparisons == (comparison,)


def test_keys_change_layout_clock_and_mirror(loaded: MainWindow, qtbot: QtBot) -> None:
    compare(loaded, qtbot)
    stage = loaded[Comparisons].comparing.stage
    seen = []
    for _ in range(3):
        loaded.menus.actions["layout_next"].trigger()
        seen.append((selected(loaded).layout, stage.layout_shown))
    assert seen == [("above", "above"), ("over", "over"), ("beside", "beside")]
    qtbot.keyClick(loaded, Key.Key_Y)
    assert selected(loaded).timing == "real"
    loaded.menus.actions["mirror_right"].trigger()
    assert selected(loaded).fit.mirrored
    loaded.session.undo()
    assert not selected(loaded).fit.mirrored
    loaded[Comparisons].adjusting.set_layout("over")
    loaded[Comparisons].adjusting.shift(-12)
    least = loaded.minimumSizeHint()
    assert least.width() <= 1280 and least.height() <= 760


def test_a_label_is_worded_over_its_picture(loaded: MainWindow, qtbot: QtBot) -> None:
    before = compare(loaded, qtbot)
    label = loaded[Comparisons].comparing.stage.labels["right"]
    QTest.mouseClick(label, Qt.MouseButton.LeftButton)
    label.selectAll()
    qtbot.keyClicks(label, "Last month")
    qtbot.keyClick(label, Key.Key_Return)
    assert selected(loaded).right.label == "Last month"
    assert selected(loaded).left == before.left
    loaded.menus.actions["comparison_labels"].trigger()
    left = loaded[Comparisons].comparing.stage.labels["left"]
    qtbot.keyClicks(left, "Now")
    qtbot.keyClick(left, Key.Key_Escape)
    assert left.text() == before.left.label


def test_a_title_is_written_kept_and_undone(loaded: MainWindow, qtbot: QtBot) -> None:
    before = compare(loaded, qtbot)
    tab = loaded[Comparisons].tab
    qtbot.keyClick(loaded, Key.Key_F3)
    line = tab.choice.lineEdit()
    assert line is not None and tab.choice.hasFocus()
    qtbot.keyClicks(tab.choice, "Now and then")
    qtbot.keyClick(tab.choice, Key.Key_Return)
    assert selected(loaded) == replace(before, title="Now and then")
    assert tab.choice.itemText(tab.choice.currentIndex()) == "Now and then"
    qtbot.keyClick(loaded, Key.Key_F3)
    qtbot.keyClicks(tab.choice, "Something else")
    qtbot.keyClick(tab.choice, Key.Key_Escape)
    assert selected(loaded).title == line.text() == "Now and then"
    # A title of its own stays; one that only named the two strokes goes with their labels.
    loaded[Comparisons].comparing.stage.worded.emit("left", "Today")
    assert selected(loaded).title == "Now and then"
    loaded.session.undo()
    loaded.session.undo()
    assert selected(loaded) == before
    loaded[Comparisons].comparing.stage.worded.emit("left", "Today")
    assert selected(loaded).title == f"Today and {before.right.label}"
    loaded.session.undo()
    assert selected(loaded) == before


def test_the_field_of_titles_goes_from_one_comparison_to_another(
    loaded: MainWindow, qtbot: QtBot
) -> None:
    first = compare(loaded, qtbot)
    second = compare(loaded, qtbot, 1, 2)
    choice = loaded[Comparisons].tab.choice
    assert choice.currentData() == second.id
    choice.setCurrentIndex(0)
    choice.activated.emit(0)
    settle(loaded, qtbot)
    assert selected(loaded) == first
    assert not choice.hasFocus(), "after a choice the keys are the bench's"
    assert loaded.session.state.comparisons == (first, second), "no title changed by the way"
    qtbot.keyClick(loaded, Key.Key_C)
    line = choice.lineEdit()
    assert line is not None and line.isReadOnly() and line.text() == ""


def test_the_chooser_offers_the_typical_stroke_first(loaded: MainWindow, qtbot: QtBot) -> None:
    qtbot.keyClick(loaded, Key.Key_C)
    (chooser,) = loaded.findChildren(ComparisonChooser)
    qtbot.waitUntil(lambda: not loaded.jobs.running, timeout=60000)
    titles = [chooser._sources.item(i).text() for i in range(chooser._sources.count())]
    assert titles[0] == "This piece"
    assert any("Simulated stroke" in title for title in titles)
    assert "most typical" in chooser._strokes.item(0).text()
    qtbot.keyClick(chooser._strokes, Key.Key_Down)
    qtbot.keyClick(chooser._strokes, Key.Key_Return)
    settle(loaded, qtbot)
    assert selected(loaded).right.source == ""


def test_another_review_is_offered_by_whose_it_is(
    loaded: MainWindow, qtbot: QtBot, tmp_path: Path
) -> None:
    other = tmp_path / "footage.review"
    other.write_bytes(b"")
    loaded[Settings].add_recent(other)
    loaded[Settings].tell_of(other, "Zoë", "Steady")
    qtbot.keyClick(loaded, Key.Key_C, Qt.KeyboardModifier.ShiftModifier)
    (chooser,) = loaded.findChildren(ComparisonChooser)
    qtbot.waitUntil(lambda: not loaded.jobs.running, timeout=60000)
    titles = [chooser._sources.item(i).text() for i in range(chooser._sources.count())]
    assert any(title.startswith("Zoë  ·  Steady") for title in titles), titles


def test_a_reference_of_the_library_is_shown_beside_the_stroke(
    loaded: MainWindow, qtbot: QtBot
) -> None:
    qtbot.keyClick(loaded, Key.Key_C, Qt.KeyboardModifier.ShiftModifier)
    (chooser,) = loaded.findChildren(ComparisonChooser)
    qtbot.waitUntil(lambda: not loaded.jobs.running, timeout=60000)
    chooser._sources.setCurrentRow(chooser._sources.count() - 1)
    qtbot.waitUntil(lambda: chooser._strokes.count() == 1, timeout=20000)
    chooser.accept()
    settle(loaded, qtbot)
    stage = loaded[Comparisons].comparing.stage
    assert stage.second.frame is not None
    assert stage.second.frame.image_bgra.shape[1] > 2
    right = loaded[Comparisons].comparing.right
    assert right is not None and right.piece is not None


def test_a_review_that_is_gone_is_said_and_costs_nothing(loaded: MainWindow, qtbot: QtBot) -> None:
    comparison = compare(loaded, qtbot)
    gone = StrokeRef("gone.review", 1.0, 2.0, 3.0, "last month")
    loaded.session.do(EditComparison(comparison.id, right=gone))
    qtbot.waitUntil(lambda: not loaded.jobs.running, timeout=20000)
    assert "gone.review" in loaded.message_line.text
    assert loaded[Comparisons].comparing.is_shown
    assert loaded[Comparisons].comparing.stage.second.frame is None


def test_the_self_test_is_edited_tried_and_undone(loaded: MainWindow, qtbot: QtBot) -> None:
    compare(loaded, qtbot)
    loaded.menus.actions["self_test"].trigger()
    (dialog,) = loaded.findChildren(SelfTestDialog)
    press(dialog, "Add both")
    press(dialog, "Add this stroke")
    test = loaded.session.state.self_test
    assert test is not None and len(test.items) == 3
    dialog.table.item(1, 2).setText("The arms bend early.")
    assert loaded.session.state.self_test.items[1].why == "The arms bend early."
    press(dialog, "Try it")
    assert [dialog.table.item(i, 2).text() for i in range(3)] == ["", "", ""]
    assert [dialog.table.item(i, 0).text() for i in range(3)] == ["1", "2", "3"]
    choice = dialog.table.cellWidget(1, 1)
    assert isinstance(choice, QComboBox)
    choice.activated.emit(1)
    assert "rowed wrong. The arms bend early." in dialog._words.text()
    press(dialog, "Try it")
    dialog.table.selectRow(0)
    press(dialog, "Remove")
    assert len(loaded.session.state.self_test.items) == 2
    loaded.session.undo()
    assert len(loaded.session.state.self_test.items) == 3
    dialog.close()


def test_a_stroke_is_kept_as_a_reference(loaded: MainWindow, qtbot: QtBot) -> None:
    line_up(loaded)
    qtbot.keyClick(loaded, Key.Key_Down)
    loaded.menus.actions["keep_reference"].trigger()
    (dialog,) = loaded.findChildren(ReferenceDialog)
    dialog.name.setText("A good catch")
    dialog.level.setText("club")
    dialog.accept()
    qtbot.waitUntil(lambda: not loaded.jobs.running, timeout=60000)
    (kept,) = list_references(library_folder()).kept
    assert (kept.reference.name, kept.reference.level) == ("A good catch", "club")


def press(dialog: SelfTestDialog, text: str) -> None:
    (button,) = (b for b in dialog.findChildren(QToolButton) if b.text() == text)
    button.click()
