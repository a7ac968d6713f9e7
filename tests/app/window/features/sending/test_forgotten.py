"""Before a bundle is written without much in it, the window asks once."""

from __future__ import annotations

from pathlib import Path

import pytest
from PySide6.QtWidgets import QToolButton
from pytestqt.qtbot import QtBot

from analysis.clocks.alignment import Alignment
from app.review.parts.about import SetAthlete
from app.review.parts.line_up import SetLineUp
from app.review.parts.notes import AddNote, new_note
from app.review.parts.sending import SetSending
from app.window.features.sending import forgotten as f
from app.window.features.sending.sending import Sending
from app.window.main_window import MainWindow

LINED_UP = SetLineUp((), Alignment(0.1, 0.0, 0.02, "by hand, from one catch"))


def offer(bench: MainWindow, text: str) -> QToolButton:
    (button,) = [b for b in bench.message_line.findChildren(QToolButton) if b.text() == text]
    return button


def test_it_says_what_is_missing_and_writes_when_told(loaded: MainWindow, qtbot: QtBot) -> None:
    place = loaded[Sending].usual_place()
    assert place is not None
    loaded.menus.actions["send"].trigger()
    said = loaded.message_line.text
    for missing in (f.NOT_LINED_UP, f.NOTHING_SAID, f.NO_NAME, f.NO_CONSENT):
        assert missing in said
    assert not loaded.jobs.running and not place.exists()
    with qtbot.waitSignal(loaded[Sending].written, timeout=60000):
        offer(loaded, "Write it anyway").click()
    assert place.is_dir()
    with qtbot.waitSignal(loaded[Sending].written, timeout=60000):  # asked once is enough
        loaded.menus.actions["send"].trigger()


def test_what_is_complete_is_written_at_once(loaded: MainWindow, qtbot: QtBot) -> None:
    for change in (
        LINED_UP,
        SetAthlete("A. Rower", "March"),
        AddNote(new_note(0.3, "Longer", end_s=0.4)),
        SetSending(consent=True),
    ):
        loaded.session.do(change)
    assert f.forgotten(loaded.session.state) == ()
    with qtbot.waitSignal(loaded[Sending].written, timeout=60000):
        loaded.menus.actions["send"].trigger()


def test_a_no_is_asked_about_though_all_else_was_agreed_to_before(
    loaded: MainWindow, qtbot: QtBot
) -> None:
    place = loaded[Sending].usual_place()
    assert place is not None
    loaded[Sending].go_without()
    loaded.session.do(SetSending(consent=False))
    loaded.menus.actions["send"].trigger()
    assert f.REFUSED in loaded.message_line.text and f.NO_NAME not in loaded.message_line.text
    assert not loaded.jobs.running and not place.exists()
    with qtbot.waitSignal(loaded[Sending].written, timeout=60000):
        offer(loaded, "Write it anyway").click()


@pytest.mark.parametrize("kind", ["footage", "force"])
def test_with_one_recording_there_is_nothing_to_line_up(
    bench: MainWindow, submission: Path, qtbot: QtBot, kind: str
) -> None:
    name = "piece.mp4" if kind == "footage" else "piece.csv"
    bench.session.open_paths([submission / name])
    qtbot.waitUntil(lambda: bench.session.review is not None and not bench.jobs.running)
    missing = f.forgotten(bench.session.state)
    assert f.NOT_LINED_UP not in missing
    assert (f.NO_CONSENT in missing) == (kind == "footage")
