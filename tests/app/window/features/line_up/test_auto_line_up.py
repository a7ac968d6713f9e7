"""Lining up by itself, in the window, on footage of a rower."""

from __future__ import annotations

import json
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from pytestqt.qtbot import QtBot

from analysis.clocks.alignment import Alignment, Pair
from analysis.clocks.matching import line_up
from analysis.force.strokes import find_strokes
from app.review.parts.line_up import SetLineUp
from app.submission.lining_up import Signals
from app.window.features.line_up.auto_line_up import AutoLineUp
from app.window.features.line_up.line_up import LineUp
from app.window.features.line_up.line_up_status import LineUpStatus
from app.window.features.line_up.line_up_view import LineUpView
from app.window.main_window import MainWindow
from app.window.tasks.process_pool import ProcessPool
from samples.submission import small_sample
from tests.app.window.conftest import open_and_wait
from tests.helpers.patience import HANGS_MS
from tests.helpers.rhythms import draw_wrong


@pytest.fixture
def rowed(tmp_path: Path) -> Path:
    """The small sample under other names, so that no review of it is known."""
    sample = small_sample()
    shutil.copyfile(sample.footage, tmp_path / "rowed.mp4")
    shutil.copyfile(sample.force, tmp_path / "rowed.csv")
    return tmp_path


def true_offset() -> float:
    return float(json.loads(small_sample().truth.read_text("utf-8"))["clocks"]["offset_s"])


def test_a_new_submission_is_lined_up_and_can_be_looked_at(
    make_bench: Callable[..., MainWindow], rowed: Path, qtbot: QtBot
) -> None:
    bench = make_bench(by_itself=True)
    open_and_wait(bench, qtbot, rowed / "rowed.mp4", rowed / "rowed.csv")
    qtbot.waitUntil(lambda: bench[AutoLineUp].line_up is not None, timeout=HANGS_MS)
    found = bench[AutoLineUp].line_up
    assert found is not None
    offsets = [c.offset_s for c in found.candidates]
    assert min(abs(o - true_offset()) for o in offsets) < 0.05
    if not found.alignment.ambiguous:
        assert bench.session.state.alignment.offset_s == pytest.approx(true_offset(), abs=0.05)
    bench.menus.actions["show_line_up"].trigger()
    view = bench.findChild(LineUpView)
    assert view is not None
    qtbot.waitUntil(lambda: view._thumbs[0].pixmap().width() > 50, timeout=HANGS_MS)
    before = bench.session.state.alignment.offset_s
    qtbot.keyClick(bench, Qt.Key.Key_BracketRight)
    assert bench.session.state.alignment.offset_s == pytest.approx(before + 1 / 30)
    bench.menus.actions["lock_line_up"].trigger()
    assert bench.session.state.alignment.method.endswith("checked by eye")
    assert not bench.session.state.alignment.ambiguous
    qtbot.waitUntil(lambda: not bench.jobs.running, timeout=HANGS_MS)
    view.close()


def test_a_view_closed_while_its_pictures_are_fetched_is_let_be(
    loaded: MainWindow, qtbot: QtBot
) -> None:
    view = LineUpView(loaded.session, loaded[AutoLineUp], loaded.jobs, loaded)
    view.show()
    view._fetch()
    assert loaded.jobs.running
    with qtbot.captureExceptions() as failed:
        with qtbot.waitSignal(view.destroyed):
            view.close()
        qtbot.waitUntil(lambda: not loaded.jobs.running, timeout=HANGS_MS)
    assert not failed


def test_another_piece_is_not_laid_under_the_film(
    make_bench: Callable[..., MainWindow],
    rowed: Path,
    qtbot: QtBot,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    met = draw_wrong(1, "walking")
    answer = line_up(met.motion, met.sound, met.trace, find_strokes(met.trace))
    bench = make_bench()
    open_and_wait(bench, qtbot, rowed / "rowed.mp4", rowed / "rowed.csv")
    before = bench.session.state
    found_so = (Signals(met.motion, met.sound), answer)
    monkeypatch.setattr(bench.jobs.process_pool, "call", lambda *_: found_so)
    with qtbot.waitSignal(bench.messages.said, timeout=HANGS_MS) as told:
        bench.menus.actions["auto_line_up"].trigger()
    assert told.args[0].startswith("These do not keep step: probably another piece.")
    assert "not laid under the film" in told.args[0]
    assert bench.session.state == before
    (status,) = bench.findChildren(LineUpStatus)
    assert "do not keep step" in status.text()
    # Whoever knows better lays it by hand, and the line says that.
    bench[AutoLineUp].by_hand_wanted.emit()
    assert bench[LineUp].is_picking
    bench[LineUp].give_up()
    qtbot.keyClick(bench, Qt.Key.Key_J)
    found = bench[AutoLineUp].line_up
    assert found is not None
    laid = bench.session.state.alignment
    assert laid.offset_s == found.candidates[0].offset_s and laid.ambiguous
    assert "do not keep step" not in status.text()


def test_candidates_are_stepped_through(
    make_bench: Callable[..., MainWindow], rowed: Path, qtbot: QtBot
) -> None:
    bench = make_bench()
    open_and_wait(bench, qtbot, rowed / "rowed.mp4", rowed / "rowed.csv")
    assert bench.session.state.alignment.method == "assumed"
    bench.menus.actions["auto_line_up"].trigger()
    qtbot.waitUntil(lambda: bench[AutoLineUp].line_up is not None, timeout=HANGS_MS)
    found = bench[AutoLineUp].line_up
    assert found is not None
    first = bench.session.state.alignment
    for _ in found.candidates:
        qtbot.keyClick(bench, Qt.Key.Key_J)
    assert bench.session.state.alignment == first


def test_a_line_up_made_by_hand_meanwhile_stays(
    make_bench: Callable[..., MainWindow], rowed: Path, qtbot: QtBot
) -> None:
    bench = make_bench()
    open_and_wait(bench, qtbot, rowed / "rowed.mp4", rowed / "rowed.csv")
    bench.menus.actions["auto_line_up"].trigger()
    mine = Alignment(1.0, 0.0, 0.02, "by hand")
    bench.session.do(SetLineUp((Pair(1.0, 0.0),), mine))
    qtbot.waitUntil(lambda: bench[AutoLineUp].line_up is not None, timeout=HANGS_MS)
    assert bench.session.state.alignment == mine


def test_a_line_up_that_came_ready_made_is_checked_and_kept(
    make_bench: Callable[..., MainWindow], rowed: Path, qtbot: QtBot
) -> None:
    bench = make_bench()
    open_and_wait(bench, qtbot, rowed / "rowed.mp4", rowed / "rowed.csv")
    said = []
    for offset_s in (true_offset(), true_offset() + 0.6):
        given = Alignment(offset_s, 0.0, 0.01, "by hand")
        bench.session.do(SetLineUp((Pair(offset_s, 0.0),), given))
        with qtbot.waitSignal(bench.messages.said, timeout=HANGS_MS) as told:
            bench.menus.actions["check_line_up"].trigger()
        said.append(told.args[0])
        assert bench.session.state.alignment == given
    assert said[0] != said[1]
    qtbot.waitUntil(lambda: not bench.jobs.running, timeout=HANGS_MS)


def test_a_stopped_search_can_be_begun_again_and_leaves_no_process(
    make_bench: Callable[..., MainWindow], rowed: Path, qtbot: QtBot
) -> None:
    bench = make_bench()
    open_and_wait(bench, qtbot, rowed / "rowed.mp4", rowed / "rowed.csv")
    bench.jobs.process_pool = ProcessPool()
    bench.menus.actions["auto_line_up"].trigger()
    qtbot.waitUntil(lambda: bool(bench.jobs.process_pool.children), timeout=HANGS_MS)
    bench.jobs.running[0].cancel()
    qtbot.waitUntil(lambda: not bench.jobs.running, timeout=HANGS_MS)
    assert bench.jobs.process_pool.children == ()
    assert bench[AutoLineUp].line_up is None
    bench.menus.actions["auto_line_up"].trigger()
    qtbot.waitUntil(lambda: bench[AutoLineUp].line_up is not None, timeout=HANGS_MS)
    bench.close()
    assert bench.jobs.process_pool.children == ()


def test_escape_ends_the_picking_of_a_catch(
    make_bench: Callable[..., MainWindow], submission: Path, qtbot: QtBot
) -> None:
    bench = make_bench()
    open_and_wait(bench, qtbot, submission / "piece.mp4", submission / "piece.csv")
    qtbot.keyClick(bench, Qt.Key.Key_L)
    assert bench[LineUp].is_picking and "click the same catch" in bench.message_line.text
    bench.modes.give_up_or_stop()  # what Escape does
    assert not bench[LineUp].is_picking
    assert "click the same catch" not in bench.message_line.text
