"""The coach's job in the window, with real keys and clicks on real files."""

from __future__ import annotations

import sqlite3
from pathlib import Path

import numpy as np
import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtWidgets import QToolButton
from pytestqt.qtbot import QtBot

from app.review.file.store import read_review
from app.window.features.findings.findings import Findings
from app.window.features.line_up.line_up import LineUp
from app.window.features.notes.feature import NotesFeature
from app.window.features.review_file.name_panel import NamePanel
from app.window.features.sending.sending import Sending
from app.window.main_window import MainWindow
from tests.app.window.unsaved import saved
from tests.helpers.clips import number_in
from tests.helpers.pieces import FOUR_STROKES, GIVING

Key = Qt.Key


def wait_for_picture(bench: MainWindow, qtbot: QtBot) -> None:
    """Wait until the frame asked for is the frame shown."""
    qtbot.waitUntil(lambda: bench.playhead.time_s == bench.playhead.wanted_s, timeout=10000)


def press(bench: MainWindow, qtbot: QtBot, key: Qt.Key, times: int = 1) -> None:
    for _ in range(times):
        qtbot.keyClick(bench, key)
    wait_for_picture(bench, qtbot)


def shown_number(bench: MainWindow) -> int:
    assert bench.picture.frame is not None
    return number_in(bench.picture.frame.image_bgra)


def assert_one_instant(bench: MainWindow) -> None:
    """Picture, trace cursor and curve cursor stand at the playhead's time."""
    time_s = bench.playhead.time_s
    footage = bench.session.footage
    assert footage is not None
    assert shown_number(bench) == footage.index.at(time_s)
    assert bench.trace._overlay.playhead_x == pytest.approx(bench.trace.x_of(time_s))


def test_opening_shows_everything(loaded: MainWindow) -> None:
    assert shown_number(loaded) == 0
    force = loaded.session.submission.force
    assert force is not None
    assert len(force.piece.strokes) == len(FOUR_STROKES.starts_s)
    assert loaded.session.review is not None


def test_the_bench_fits_a_small_screen(loaded: MainWindow, qtbot: QtBot) -> None:
    press(loaded, qtbot, Key.Key_T)
    qtbot.keyClick(loaded, Key.Key_N)
    least = loaded.minimumSizeHint()
    assert least.width() <= 1280
    assert least.height() <= 800


def test_keys_step_and_jump_exactly(loaded: MainWindow, qtbot: QtBot) -> None:
    press(loaded, qtbot, Key.Key_Right, 3)
    assert shown_number(loaded) == 3
    press(loaded, qtbot, Key.Key_Left)
    assert shown_number(loaded) == 2
    press(loaded, qtbot, Key.Key_Down, 2)  # second catch
    force = loaded.session.submission.force
    assert force is not None
    assert loaded.playhead.time_s == pytest.approx(force.piece.strokes[1].catch_s)
    assert loaded.view.stroke is force.piece.strokes[1]
    assert_one_instant(loaded)
    press(loaded, qtbot, Key.Key_Up)
    assert loaded.playhead.time_s == pytest.approx(force.piece.strokes[0].catch_s)
    press(loaded, qtbot, Key.Key_End)
    assert shown_number(loaded) == 199
    press(loaded, qtbot, Key.Key_Home)
    assert shown_number(loaded) == 0


def test_clicking_the_trace_and_the_curve_moves_the_playhead(
    loaded: MainWindow, qtbot: QtBot
) -> None:
    trace = loaded.trace
    place = QPoint(round(trace.x_of(2.5)), trace.height() // 2)
    qtbot.mouseClick(trace.viewport(), Qt.MouseButton.LeftButton, pos=place)
    wait_for_picture(loaded, qtbot)
    assert loaded.playhead.time_s == pytest.approx(2.5, abs=0.02)
    assert_one_instant(loaded)
    curve = loaded.curve
    at_half = curve.place_of(50.0, 20.0)
    qtbot.mouseClick(curve.viewport(), Qt.MouseButton.LeftButton, pos=at_half.toPoint())
    wait_for_picture(loaded, qtbot)
    stroke = loaded.view.stroke
    assert stroke is not None
    middle = 0.5 * (stroke.catch_s + stroke.finish_s)
    assert loaded.playhead.time_s == pytest.approx(middle, abs=0.02)
    assert_one_instant(loaded)


def test_a_note_takes_one_key_and_playing_goes_on(loaded: MainWindow, qtbot: QtBot) -> None:
    press(loaded, qtbot, Key.Key_Down)
    loaded.playhead.set_speed(0.1)
    loaded.playhead.play()
    qtbot.keyClick(loaded, Key.Key_N)
    words = loaded[NotesFeature].panel._words
    qtbot.waitUntil(words.hasFocus)
    qtbot.keyClicks(words, "Hands and seat leave together, not so fast.")
    assert loaded.playhead.is_playing
    loaded.playhead.pause()
    note = loaded.session.state.notes[0]
    assert note.text == "Hands and seat leave together, not so fast."
    assert note.phase == "catch"
    qtbot.keyClick(words, Key.Key_Escape)
    assert not words.hasFocus()
    path = saved(loaded, qtbot)
    assert read_review(path).notes[0].text == note.text
    with sqlite3.connect(path) as database:
        assert database.execute("pragma integrity_check").fetchone() == ("ok",)
    database.close()


def test_notes_are_tagged_spanned_deleted_and_brought_back(
    loaded: MainWindow, qtbot: QtBot
) -> None:
    press(loaded, qtbot, Key.Key_Down)
    qtbot.keyClick(loaded, Key.Key_N)
    panel = loaded[NotesFeature].panel
    panel._body.setCurrentText("back")
    panel._body.activated.emit(panel._body.currentIndex())
    qtbot.mouseClick(panel._span, Qt.MouseButton.LeftButton)
    note = loaded.session.state.notes[0]
    assert note.body_part == "back"
    assert note.end_s == pytest.approx(note.video_s + 1.6, abs=0.02)
    loaded.menus.actions["delete_note"].trigger()
    assert loaded.session.state.notes == ()
    loaded.menus.actions["undo"].trigger()
    assert loaded.session.state.notes == (note,)
    loaded.menus.actions["redo"].trigger()
    assert loaded.session.state.notes == ()


def test_clicking_a_pin_and_a_line_goes_to_the_note(loaded: MainWindow, qtbot: QtBot) -> None:
    press(loaded, qtbot, Key.Key_Down)
    qtbot.keyClick(loaded, Key.Key_N)
    note = loaded.session.state.notes[0]
    loaded[NotesFeature].panel._words.clearFocus()
    press(loaded, qtbot, Key.Key_End)
    trace = loaded.trace
    top = round(trace._overlay.area.top()) + 5
    pin = QPoint(round(trace.x_of(note.video_s)) + 3, top)
    qtbot.mouseClick(trace.viewport(), Qt.MouseButton.LeftButton, pos=pin)
    wait_for_picture(loaded, qtbot)
    assert loaded.playhead.time_s == pytest.approx(note.video_s)
    press(loaded, qtbot, Key.Key_Home)
    rows = loaded[NotesFeature].panel._list
    middle = rows.visualItemRect(rows.item(0)).center()
    qtbot.mouseClick(rows.viewport(), Qt.MouseButton.LeftButton, pos=middle)
    wait_for_picture(loaded, qtbot)
    assert loaded.playhead.time_s == pytest.approx(note.video_s)


def test_lining_up_by_hand(loaded: MainWindow, qtbot: QtBot) -> None:
    press(loaded, qtbot, Key.Key_Right, 30)  # frame 30: here the catch is seen
    qtbot.keyClick(loaded, Key.Key_L)
    assert loaded[LineUp].is_picking
    trace, force = loaded.trace, loaded.session.submission.force
    assert force is not None
    catch_s = force.piece.strokes[0].catch_s
    place = QPoint(round(trace.x_of(catch_s)) + 4, trace.height() // 2)
    qtbot.mouseClick(trace.viewport(), Qt.MouseButton.LeftButton, pos=place)
    alignment = loaded.session.state.alignment
    assert alignment.method == "by hand"
    assert alignment.offset_s == pytest.approx(1.0 - catch_s)
    assert alignment.trace_time(1.0) == pytest.approx(catch_s)
    assert not loaded[LineUp].is_picking
    loaded.menus.actions["undo"].trigger()
    assert loaded.session.state.alignment.method == "assumed"


def test_escape_of_a_line_up_changes_nothing(loaded: MainWindow, qtbot: QtBot) -> None:
    before = loaded.session.state
    qtbot.keyClick(loaded, Key.Key_L)
    qtbot.keyClick(loaded, Key.Key_L)
    assert not loaded[LineUp].is_picking
    assert loaded.session.state == before


def test_turn_and_mirror_reach_the_pixels(loaded: MainWindow, qtbot: QtBot) -> None:
    plain = loaded.picture.grab().toImage()
    qtbot.keyClick(loaded, Key.Key_M)
    assert loaded.session.state.turn.mirrored
    mirrored = loaded.picture.grab().toImage()
    rect = loaded.picture.picture_rect().toRect()
    # The lower left corner of the clip is red, the lower right one green.
    left, right = rect.bottomLeft() + QPoint(6, -6), rect.bottomRight() + QPoint(-6, -6)
    assert plain.pixelColor(left).red() > 150 > plain.pixelColor(right).red()
    assert mirrored.pixelColor(right).red() > 150 > mirrored.pixelColor(left).red()
    qtbot.keyClick(loaded, Key.Key_M)
    loaded.menus.actions["turn"].trigger()
    assert loaded.session.state.turn.quarter_turns == 1
    rect = loaded.picture.picture_rect()
    assert rect.height() > rect.width()
    turned = loaded.picture.grab().toImage()
    # A quarter turn clockwise brings the lower left corner to the upper left.
    assert turned.pixelColor(rect.topLeft().toPoint() + QPoint(6, 6)).red() > 150


def test_target_preset_drag_and_draw(loaded: MainWindow, qtbot: QtBot) -> None:
    press(loaded, qtbot, Key.Key_T)
    target = loaded.session.state.target
    assert target is not None
    curves = loaded.view.curves
    assert curves is not None
    curve = loaded.curve
    viewport = curve.viewport()
    start = curve._sheet.places["build_up_end"].toPoint()
    qtbot.mousePress(viewport, Qt.MouseButton.LeftButton, pos=start)
    for move in (4, 8, 12):
        drag(viewport, start + QPoint(move, 0))
    qtbot.mouseRelease(viewport, Qt.MouseButton.LeftButton, pos=start + QPoint(12, 0))
    moved = loaded.session.state.target
    assert moved is not None
    assert moved.build_up_end_pct > target.build_up_end_pct + 2
    # Held equal: the area under the target is the area under the athlete's mean.
    from analysis.force.curves import PERCENT
    from analysis.force.target import sample_target

    own = np.trapezoid(curves.mean, PERCENT)
    assert np.trapezoid(sample_target(moved), PERCENT) == pytest.approx(own, rel=1e-6)
    loaded.menus.actions["undo"].trigger()  # the whole drag is one step
    assert loaded.session.state.target == target
    qtbot.keyClick(loaded, Key.Key_D)
    places = [curve.place_of(p, f).toPoint() for p, f in ((2, 5), (30, 400), (60, 420), (98, 5))]
    qtbot.mousePress(viewport, Qt.MouseButton.LeftButton, pos=places[0])
    for place in places[1:]:
        drag(viewport, place)
    qtbot.mouseRelease(viewport, Qt.MouseButton.LeftButton, pos=places[-1])
    drawn = loaded.session.state.target
    assert drawn is not None
    assert drawn.freehand


def drag(widget, place: QPoint) -> None:  # type: ignore[no-untyped-def]
    """A mouse move with the left button down; QTest's own moves carry no buttons."""
    from PySide6.QtCore import QEvent, QPointF
    from PySide6.QtGui import QMouseEvent
    from PySide6.QtWidgets import QApplication

    event = QMouseEvent(
        QEvent.Type.MouseMove,
        QPointF(place),
        widget.mapToGlobal(QPointF(place)),
        Qt.MouseButton.NoButton,
        Qt.MouseButton.LeftButton,
        Qt.KeyboardModifier.NoModifier,
    )
    QApplication.sendEvent(widget, event)


def test_the_bundle_is_written_with_one_key(loaded: MainWindow, qtbot: QtBot) -> None:
    press(loaded, qtbot, Key.Key_Down)
    qtbot.keyClick(loaded, Key.Key_N)
    qtbot.keyClicks(loaded[NotesFeature].panel._words, "Soft catch.")
    qtbot.keyClick(loaded[NotesFeature].panel._words, Key.Key_Escape)
    with qtbot.waitSignal(loaded[Sending].written, timeout=60000) as written:
        loaded.menus.actions["send"].trigger()
        anyway = [b for b in loaded.message_line.findChildren(QToolButton) if "anyway" in b.text()]
        anyway[0].click()  # no name, no consent: it asks once
    folder: Path = written.args[0].path
    assert "Soft catch." in (folder / "index.html").read_text("utf-8")
    assert str(folder) in loaded.message_line.text
    qtbot.waitUntil(lambda: not loaded.jobs.running)


def test_naming_the_athlete_is_one_undo_step(loaded: MainWindow, qtbot: QtBot) -> None:
    qtbot.keyClick(loaded, Key.Key_F2)
    qtbot.waitUntil(loaded[NamePanel].athlete.hasFocus)
    qtbot.keyClicks(loaded[NamePanel].athlete, "Robin")
    qtbot.keyClick(loaded[NamePanel].athlete, Key.Key_Return)
    assert loaded.session.state.athlete == "Robin"
    assert not loaded[NamePanel].athlete.hasFocus()
    loaded.menus.actions["undo"].trigger()
    assert loaded.session.state.athlete == ""
    assert loaded[NamePanel].athlete.text() == ""


def test_findings_are_chosen_kept_reworded_and_dropped_with_one_key(
    bench: MainWindow, submission: Path, qtbot: QtBot
) -> None:
    from tests.app.window.conftest import open_and_wait

    # A dip in each build-up: the body gave way.
    GIVING.write(submission / "piece.csv")
    open_and_wait(bench, qtbot, submission / "piece.mp4", submission / "piece.csv")
    qtbot.waitUntil(lambda: bool(bench[Findings].found), timeout=20000)
    codes = [f.code for f in bench[Findings].found]
    assert "give" in codes
    while bench[Findings].selected is None or bench[Findings].selected.code != "give":
        qtbot.keyClick(bench, Key.Key_F)
    wait_for_picture(bench, qtbot)
    finding = bench[Findings].selected
    assert finding.where.video_s is not None
    assert bench.playhead.time_s == pytest.approx(finding.where.video_s)
    assert bench.curve._evidence is not None
    assert_one_instant(bench)
    qtbot.keyClick(bench, Key.Key_E)
    words = bench[NotesFeature].panel._words
    qtbot.waitUntil(words.hasFocus)
    assert finding.cue in words.toPlainText()
    qtbot.keyClick(words, Key.Key_Escape)
    assert [(d.code, d.kept) for d in bench.session.state.decisions] == [("give", True)]
    qtbot.keyClick(bench, Key.Key_X)
    assert [(d.code, d.kept) for d in bench.session.state.decisions] == [("give", False)]
    assert bench.session.state.notes == ()
    qtbot.keyClick(bench, Key.Key_Z, Qt.KeyboardModifier.ControlModifier)
    assert len(bench.session.state.notes) == 1
