"""Two strokes on one playhead: the frames that stand together, and what a coach does to them."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from PySide6.QtCore import QPoint, QPointF, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QComboBox, QToolButton
from pytestqt.qtbot import QtBot

from analysis.comparing.phase import phase_of
from analysis.comparing.picture_fit import PictureFit
from app.review.file.store import read_review
from app.review.parts.comparisons import Comparison, EditComparison
from app.review.parts.line_up import SetLineUp
from app.review.references import list_references
from app.review.values.stroke_ref import StrokeRef
from app.window.features.comparing.comparison_chooser import ComparisonChooser
from app.window.features.comparing.comparison_tab import NO_FORCE
from app.window.features.comparing.comparisons import Comparisons
from app.window.features.comparing.pair_view import PairView
from app.window.features.comparing.reference_dialog import ReferenceDialog
from app.window.features.comparing.self_test_dialog import SelfTestDialog
from app.window.features.stroke_strip.strips import Strips
from app.window.main_window import MainWindow
from app.window.session.other_recordings import library_folder, own_recording
from app.window.session.settings import CACHE_MB
from app.window.views.frame_supply import MB
from tests.app.window.conftest import open_and_wait
from tests.app.window.unsaved import saved

Key = Qt.Key
LEFT = Qt.MouseButton.LeftButton


def compare(bench: MainWindow, qtbot: QtBot, left: int = 0, right: int = 1) -> Comparison:
    """Put two strokes of the piece side by side."""
    own = own_recording(bench.session)
    strokes = {s.index: s for s in own.strokes()}
    bench[Comparisons].comparing.add(own.ref(strokes[left]), own.ref(strokes[right]), own)
    settle(bench, qtbot)
    return selected(bench)


def selected(bench: MainWindow) -> Comparison:
    comparison = bench[Comparisons].comparing.selected
    assert comparison is not None
    return comparison


def settle(bench: MainWindow, qtbot: QtBot) -> None:
    """Wait until both pictures show what the playhead asks for."""
    comparing = bench[Comparisons].comparing

    def shown() -> bool:
        footage, first = bench.session.footage, bench.picture.frame
        second, wanted_s = comparing.stage.second.frame, bench.playhead.wanted_s
        if footage is None or first is None or bench.jobs.running:
            return False
        expected = comparing.second.frame_at(wanted_s)
        right = second.index if second is not None else None
        return first.index == footage.index.at(wanted_s) and right == expected

    qtbot.waitUntil(shown, timeout=20000)


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


def test_a_label_is_worded_over_its_picture(loaded: MainWindow, qtbot: QtBot) -> None:
    before = compare(loaded, qtbot)
    label = loaded[Comparisons].comparing.stage.labels["right"]
    QTest.mouseClick(label, LEFT)
    label.selectAll()
    qtbot.keyClicks(label, "Last month")
    qtbot.keyClick(label, Key.Key_Return)
    assert selected(loaded).right.label == "Last month"
    assert selected(loaded).left == before.left
    qtbot.keyClick(loaded, Key.Key_F4)
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


def line_up(bench: MainWindow) -> None:
    """Say that footage and force count from one moment, as these two do."""
    alignment = replace(bench.session.state.alignment, method="by hand")
    bench.session.do(SetLineUp((), alignment))
