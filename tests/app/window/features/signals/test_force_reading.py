"""The force with its level of rest taken off, or as it was recorded."""

from __future__ import annotations

from pathlib import Path

import pytest
from pytestqt.qtbot import QtBot

from app.review.parts.notes import AddNote, new_note
from app.window.features.signals.force_reading import ForceReading
from app.window.main_window import MainWindow
from tests.app.window.conftest import open_and_wait
from tests.helpers.pieces import FOUR_STROKES

OFFSET_N = 40.0


@pytest.fixture
def raised(bench: MainWindow, tmp_path: Path, qtbot: QtBot) -> MainWindow:
    """A bench with a force recording that reads 40 N too much throughout."""
    time_s, force_n, position_m = FOUR_STROKES.samples()
    rows = zip(time_s, force_n + OFFSET_N, position_m, strict=True)
    path = tmp_path / "raised.csv"
    lines = [f"{t:.3f},{f:.3f},{x:.4f}" for t, f, x in rows]
    path.write_text("\n".join(["time_s,force_n,position_m", *lines]) + "\n", "utf-8")
    open_and_wait(bench, qtbot, path)
    return bench


def peak_n(bench: MainWindow) -> float:
    piece = bench.session.submission.piece
    assert piece is not None
    return float(piece.trace.force_n.max())


def test_rest_is_taken_off_until_the_coach_says_otherwise(raised: MainWindow, qtbot: QtBot) -> None:
    action = raised.menus.actions["keep_rest"]
    assert peak_n(raised) == pytest.approx(600.0, abs=1.0) and not action.isChecked()
    raised.session.do(AddNote(new_note(1.0, "stays")))
    for expected, on in ((640.0, True), (600.0, False)):
        action.trigger()
        qtbot.waitUntil(lambda: not raised.jobs.running, timeout=20_000)
        assert peak_n(raised) == pytest.approx(expected, abs=1.0)
        assert raised[ForceReading].keeps_rest is on
        assert [note.text for note in raised.session.state.notes] == ["stays"]
        trace = raised.session.state.trace
        assert trace is not None and trace.mapping is not None and trace.mapping.keep_rest is on


def test_without_its_file_the_force_stays_as_it_is(raised: MainWindow) -> None:
    path = raised.session.submission.trace_path
    assert path is not None
    raised.session.put_away("trace")
    raised[ForceReading].toggle_rest()
    assert "not at hand" in raised.message_line.text
