"""Drawing on the force curve with a real mouse and real keys."""

from __future__ import annotations

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtGui import QColor
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QToolButton
from pytestqt.qtbot import QtBot

from app.review.file.store import read_review
from app.review.parts.curve_marks import CurveMark
from app.review.parts.marks import MARK_COLOURS
from app.window.features.annotations.annotation_tools import AnnotationTools
from app.window.features.annotations.curve_bar import CurveBar
from app.window.features.annotations.curve_drawing import CurveDrawing
from app.window.features.annotations.curve_mark_sheet import CurveMarkSheet
from app.window.features.annotations.drawing import Drawing
from app.window.features.target.target_editor import TargetEditor
from app.window.main_window import MainWindow
from tests.app.window.unsaved import saved

Key = Qt.Key
LEFT = Qt.MouseButton.LeftButton
SHIFT = Qt.KeyboardModifier.ShiftModifier


@pytest.fixture
def bench(loaded: MainWindow, qtbot: QtBot) -> MainWindow:
    """A bench whose playhead stands in the middle of a drive."""
    go_to(loaded, qtbot, 40.0)
    return loaded


def go_to(bench: MainWindow, qtbot: QtBot, percent: float) -> None:
    clock = bench.transport.clock
    force = bench.session.submission.force
    assert clock is not None and force is not None
    moment = clock.moment_of(force.piece.strokes[1], percent, "time")
    assert moment is not None
    bench.playhead.seek(moment)
    qtbot.waitUntil(lambda: bench.playhead.time_s == bench.playhead.wanted_s, timeout=10000)


def sheet(bench: MainWindow) -> CurveMarkSheet:
    return bench[AnnotationTools].curve_marks


def place(bench: MainWindow, percent: float, force_n: float) -> QPoint:
    return bench.curve.place_of(percent, force_n).toPoint()


def drag(bench: MainWindow, *points: tuple[float, float]) -> None:
    places = [place(bench, *p) for p in points]
    QTest.mousePress(sheet(bench), LEFT, pos=places[0])
    for at in places[1:]:
        QTest.mouseMove(sheet(bench), at)
    QTest.mouseRelease(sheet(bench), LEFT, pos=places[-1])


def only(bench: MainWindow) -> CurveMark:
    (mark,) = bench.session.state.curve_marks
    return mark


def test_a_line_is_drawn_kept_seen_and_undone(bench: MainWindow, qtbot: QtBot) -> None:
    bench.menus.actions["curve_line"].trigger()
    drag(bench, (10, 100), (30, 300), (50, 400), (70, 300))
    mark = only(bench)
    assert (mark.kind, mark.axis, mark.stroke, mark.colour) == ("line", "time", 1, "yellow")
    assert mark.points[0] == pytest.approx((10, 100), abs=4)
    assert mark.points[-1] == pytest.approx((70, 300), abs=4)
    assert read_review(saved(bench, qtbot)).curve_marks == (mark,)
    image = bench.curve.grab().toImage()
    wanted = QColor(MARK_COLOURS["yellow"]).getRgb()[:3]
    at = place(bench, *mark.points[1])
    seen = [
        image.pixelColor(at + QPoint(dx, dy)).getRgb()[:3] for dx in (-1, 0, 1) for dy in (-1, 0, 1)
    ]
    assert any(all(abs(a - b) < 40 for a, b in zip(s, wanted, strict=True)) for s in seen)
    qtbot.keyClick(bench, Key.Key_Z, Qt.KeyboardModifier.ControlModifier)
    assert bench.session.state.curve_marks == ()


def test_a_stretch_is_shaded_worded_moved_and_deleted_by_mouse(
    bench: MainWindow, qtbot: QtBot
) -> None:
    bar = bench.findChild(CurveBar)
    assert bar is not None and not bar.isVisible()
    button = next(b for b in bench.stroke_panel.findChildren(QToolButton) if b.text() == "Mark")
    QTest.mouseClick(button, LEFT)
    assert bar.isVisible() and button.isChecked()
    QTest.mouseClick(bar._tools["span"], LEFT)
    drag(bench, (60, 100), (80, 200))
    assert only(bench).span_pct == pytest.approx((60, 80), abs=1)
    QTest.mouseClick(bar._deeds["curve_words"], LEFT)
    QTest.keyClicks(sheet(bench)._words, "hold it")
    QTest.keyClick(sheet(bench)._words, Key.Key_Return)
    assert only(bench).text == "hold it"
    QTest.mouseClick(bar._tools["choose"], LEFT)
    steps = len(bench.session.review._history._done) if bench.session.review else 0
    drag(bench, (70, 50), (65, 50), (55, 50), (50, 50))
    assert only(bench).span_pct == pytest.approx((40, 60), abs=2)
    assert (
        bench.session.review is not None and len(bench.session.review._history._done) == steps + 1
    )
    QTest.mouseClick(bar._deeds["curve_every"], LEFT)
    assert only(bench).stroke is None
    QTest.mouseClick(bar._colours["red"], LEFT)
    assert only(bench).colour == "red"
    QTest.mouseClick(bar._deeds["curve_delete"], LEFT)
    assert bench.session.state.curve_marks == ()
    QTest.mouseClick(bar._deeds["curve_draw"], LEFT)
    assert not bar.isVisible() and not button.isChecked()


def test_a_stretch_is_shaded_from_here_to_there_by_key_alone(
    bench: MainWindow, qtbot: QtBot
) -> None:
    bench.menus.actions["curve_shade_here"].trigger()
    assert bench.session.state.curve_marks == ()
    go_to(bench, qtbot, 75.0)
    bench.menus.actions["curve_shade_here"].trigger()
    assert only(bench).span_pct == pytest.approx((40, 75), abs=3)


def test_a_mark_of_a_stroke_is_seen_on_that_stroke_only(bench: MainWindow, qtbot: QtBot) -> None:
    bench.menus.actions["curve_span"].trigger()
    drag(bench, (20, 100), (30, 100))
    assert bench[CurveDrawing].shown == (only(bench),)
    qtbot.keyClick(bench, Key.Key_Down)
    qtbot.waitUntil(lambda: bench.view.stroke is not None and bench.view.stroke.index == 2)
    assert bench[CurveDrawing].shown == ()
    bench.view.set_axis("length")
    assert bench[CurveDrawing].shown == ()


def test_the_tools_fit_a_low_screen(bench: MainWindow, qtbot: QtBot) -> None:
    qtbot.keyClick(bench, Key.Key_T)
    least = bench.minimumSizeHint()
    bench.menus.actions["curve_draw"].trigger()
    drawing = bench.minimumSizeHint()
    assert drawing.height() <= max(least.height(), 800) and drawing.width() <= 1280


def test_a_click_leaves_nothing_and_escape_puts_the_pen_away(
    bench: MainWindow, qtbot: QtBot
) -> None:
    bench.menus.actions["curve_line"].trigger()
    QTest.mouseClick(sheet(bench), LEFT, pos=place(bench, 50, 100))
    assert bench.session.state.curve_marks == ()
    qtbot.keyClick(bench, Key.Key_Escape)
    assert not bench[CurveDrawing].is_on
    before = bench.playhead.wanted_s
    QTest.mouseClick(bench.curve.viewport(), LEFT, pos=place(bench, 60, 100))
    assert bench.playhead.wanted_s != before, "a click moves the playhead again"


def test_the_pen_of_the_target_and_of_marks_are_not_out_together(
    bench: MainWindow, qtbot: QtBot
) -> None:
    qtbot.keyClick(bench, Key.Key_D)
    bench.menus.actions["curve_span"].trigger()
    assert bench[CurveDrawing].is_on and not bench[TargetEditor]._drawing
    qtbot.keyClick(bench, Key.Key_D)
    assert bench[TargetEditor]._drawing and not bench[CurveDrawing].is_on
    qtbot.keyClick(bench, Key.Key_D)


def test_marks_are_taken_in_hand_one_after_the_other_with_keys_alone(
    bench: MainWindow, qtbot: QtBot
) -> None:
    go_to(bench, qtbot, 20.0)
    bench.menus.actions["curve_shade_here"].trigger()
    go_to(bench, qtbot, 40.0)
    bench.menus.actions["curve_shade_here"].trigger()
    bench.menus.actions["curve_shade_here"].trigger()
    go_to(bench, qtbot, 70.0)
    bench.menus.actions["curve_shade_here"].trigger()
    first, second = bench.session.state.curve_marks
    seen = []
    for _ in range(3):
        bench.menus.actions["curve_next"].trigger()
        assert bench[CurveDrawing].selected is not None
        seen.append(bench[CurveDrawing].selected.id)
    assert sorted(seen[:2]) == sorted((first.id, second.id)) and seen[2] == seen[0]
    QTest.keyClick(sheet(bench), Key.Key_Delete)
    assert seen[2] not in [m.id for m in bench.session.state.curve_marks]
    bench.menus.actions["undo"].trigger()
    assert bench.session.state.curve_marks == (first, second)


def steps_done(bench: MainWindow) -> int:
    assert bench.session.review is not None
    return len(bench.session.review._history._done)


def test_a_freehand_line_is_moved_whole_bent_and_stretched_each_one_undo_step(
    bench: MainWindow, qtbot: QtBot
) -> None:
    bench.menus.actions["curve_line"].trigger()
    drag(bench, (10, 100), (30, 250), (50, 300), (70, 250), (90, 100))
    drawn, steps = only(bench).points, steps_done(bench)
    bench.menus.actions["curve_choose"].trigger()
    bench[CurveDrawing].choose("")  # one that is not in hand is taken whole
    drag(bench, (30, 250), (33, 270), (40, 290))
    moved = only(bench).points
    assert steps_done(bench) == steps + 1 and len(moved) == len(drawn)
    for (x, y), (was_x, was_y) in zip(moved, drawn, strict=True):
        assert (x - was_x, y - was_y) == pytest.approx((10, 40), abs=6)
    handles = sheet(bench)._handles(only(bench))
    grip = handles[len(handles) // 2]
    drag(bench, grip, (grip[0], grip[1] - 30), (grip[0], grip[1] - 60))
    bent = only(bench).points
    assert steps_done(bench) == steps + 2
    assert (bent[0], bent[-1]) == (pytest.approx(moved[0]), pytest.approx(moved[-1]))
    nearest = min(bent, key=lambda p: abs(p[0] - grip[0]))
    assert nearest[1] == pytest.approx(grip[1] - 60, abs=8)
    drag(bench, bent[0], (0, bent[0][1]))
    stretched = only(bench).points
    assert stretched[0][0] == pytest.approx(0, abs=1)
    assert stretched[-1] == pytest.approx(bent[-1])
    for wanted in (bent, moved, drawn):
        bench.menus.actions["undo"].trigger()
        assert only(bench).points == wanted


def test_a_mark_on_the_curve_moves_by_arrows_and_stays_within_the_drive(
    bench: MainWindow, qtbot: QtBot
) -> None:
    bench.menus.actions["curve_line"].trigger()
    drag(bench, (3, 100), (30, 250), (60, 200))
    before, steps = only(bench).points, steps_done(bench)
    for _ in range(8):
        bench.menus.actions["mark_left"].trigger()
    bench.menus.actions["mark_up"].trigger()
    after = only(bench).points
    assert after[0][0] == 0.0 and after[-1][0] - after[0][0] == pytest.approx(
        before[-1][0] - before[0][0]
    )
    assert after[0][1] == pytest.approx(before[0][1] + 5)
    assert steps_done(bench) == steps + 1


def test_words_being_typed_are_kept_when_the_pen_is_put_away(
    bench: MainWindow, qtbot: QtBot
) -> None:
    bench.menus.actions["curve_span"].trigger()
    drag(bench, (20, 100), (40, 100))
    bench.menus.actions["curve_words"].trigger()
    QTest.keyClicks(sheet(bench)._words, "too early")
    bench[CurveDrawing].stop()
    assert only(bench).text == "too early"


def test_a_hand_holds_one_mark_on_the_picture_or_on_the_curve(
    bench: MainWindow, qtbot: QtBot
) -> None:
    qtbot.keyClick(bench, Key.Key_1)
    at = bench.picture.rect().center()
    QTest.mousePress(bench[AnnotationTools].marks, LEFT, pos=at)
    QTest.mouseMove(bench[AnnotationTools].marks, at + QPoint(40, 10))
    QTest.mouseRelease(bench[AnnotationTools].marks, LEFT, pos=at + QPoint(40, 10))
    assert bench[Drawing].selected is not None
    bench.menus.actions["curve_span"].trigger()
    drag(bench, (20, 100), (40, 100))
    bench.menus.actions["mark_colour"].trigger()
    assert bench[Drawing].selected is None
    assert (bench.session.state.marks[0].colour, only(bench).colour) == ("yellow", "blue")
    bench[Drawing].choose(bench.session.state.marks[0].id)
    assert bench[CurveDrawing].selected is None
    bench.menus.actions["mark_colour"].trigger()
    assert (bench.session.state.marks[0].colour, only(bench).colour) == ("red", "blue")
