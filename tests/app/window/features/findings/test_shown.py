"""A chosen finding: gone to, shaded where it shows, and spoken of at its own moment."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest
from PySide6.QtCore import QEvent, Qt
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QApplication, QPlainTextEdit
from pytestqt.qtbot import QtBot

from app.window.actions.feature import Feature
from app.window.features.findings.feature import FindingsFeature
from app.window.features.findings.findings import Findings
from app.window.features.findings.findings_panel import _reading
from app.window.features.footage.feature import FootageFeature
from app.window.features.notes.feature import NotesFeature
from app.window.features.notes.notes import Notes
from app.window.features.notes.voice import Voice
from app.window.features.review_file.feature import ReviewFileFeature
from app.window.main_window import MainWindow
from app.window.sound.microphone_use import MicrophoneUse
from tests.app.window.conftest import open_and_wait
from tests.helpers.pieces import GIVING
from tests.helpers.voices import FakeMicrophones, tone

Key = Qt.Key


@pytest.fixture
def features() -> tuple[type[Feature], ...]:
    return (FindingsFeature, FootageFeature, NotesFeature, ReviewFileFeature)


@pytest.fixture
def giving(make_bench: Callable[..., MainWindow], submission: Path, qtbot: QtBot) -> MainWindow:
    """A bench with a piece whose strokes give after the catch."""
    GIVING.write(submission / "piece.csv")
    bench = make_bench()
    open_and_wait(bench, qtbot, submission / "piece.mp4", submission / "piece.csv")
    qtbot.waitUntil(lambda: bool(bench[Findings].found) and not bench.jobs.running, timeout=20000)
    return bench


def shaded(bench: MainWindow) -> bool:
    return bench.curve._evidence is not None


def test_the_shade_stands_on_the_strokes_that_show_it(giving: MainWindow, qtbot: QtBot) -> None:
    qtbot.keyClick(giving, Key.Key_F)
    count, first = len(giving[Findings].found), giving[Findings].found[0].title
    assert f"Finding 1 of {count}: {first}" in giving.message_line.text
    finding = giving[Findings].selected
    clock, force = giving.transport.clock, giving.session.submission.force
    assert finding is not None and finding.evidence.percent_from is not None
    assert clock is not None and force is not None
    qtbot.waitUntil(lambda: shaded(giving))
    for stroke in force.piece.strokes:
        giving.playhead.seek(clock.span_of(stroke).start_s + 0.1)
        qtbot.waitUntil(lambda s=stroke: giving.view.stroke is s, timeout=10000)  # type: ignore[misc]
        assert shaded(giving) == (stroke.index in finding.strokes)


def test_the_chosen_finding_is_gone_to_again(giving: MainWindow, qtbot: QtBot) -> None:
    qtbot.keyClick(giving, Key.Key_F)
    finding = giving[Findings].selected
    assert finding is not None
    there = giving.playhead.wanted_s
    giving.playhead.seek(giving.playhead.range.end_s)
    giving[Findings].choose(finding.code)  # as when the pointer passes over it
    assert giving.playhead.wanted_s != there
    giving[Findings].choose(finding.code, anew=True)
    assert giving.playhead.wanted_s == there


def test_a_voice_right_after_a_finding_stands_at_the_finding(
    giving: MainWindow, qtbot: QtBot
) -> None:
    """Before its frame is on screen: what is asked for is what is spoken of."""
    microphones = FakeMicrophones("Headset")
    giving[MicrophoneUse].microphones = microphones
    qtbot.keyClick(giving, Key.Key_F)
    asked_s = giving.playhead.wanted_s
    assert giving.playhead.time_s != asked_s, "the frame is still on its way"
    giving[Voice].speaking.toggle()
    microphones.speak(tone(1.0))
    giving[Voice].speaking.toggle()
    (note,) = giving.session.state.notes
    assert note.video_s == asked_s and note.voice is not None


def test_with_nothing_found_it_is_said_what_was_looked_at(loaded: MainWindow, qtbot: QtBot) -> None:
    qtbot.waitUntil(lambda: not loaded.jobs.running, timeout=20000)
    loaded[Findings]._judged = replace(loaded.session.submission, forces=())
    qtbot.keyClick(loaded, Key.Key_F)
    assert "Nothing stood out in 4 strokes" in loaded.message_line.text
    assert "Thresholds" in loaded.message_line.text


def test_a_film_alone_says_what_findings_need(
    bench: MainWindow, submission: Path, qtbot: QtBot
) -> None:
    open_and_wait(bench, qtbot, submission / "piece.mp4")
    qtbot.keyClick(bench, Key.Key_F)
    assert "needs a force file, or “Follow the body” in the Picture menu" in bench.message_line.text


def test_a_ratio_is_said_without_the_gap_of_a_unit(giving: MainWindow) -> None:
    finding = giving[Findings].found[0]
    ratio = replace(finding, evidence=replace(finding.evidence, value=0.5, unit="", threshold=0.6))
    assert "<b>0.5</b>, held against 0.6." in _reading(ratio)
    inside = replace(ratio.evidence, percent_from=10.0, percent_to=20.0)
    stroke = giving.view.stroke
    assert stroke is not None
    giving.view.show_evidence(replace(ratio, evidence=inside, strokes=(stroke.index,)))
    assert giving.curve._evidence is not None and giving.curve._evidence[2] == "0.5 (limit 0.6)"


def test_n_after_k_opens_the_kept_note_and_makes_no_second_one(
    giving: MainWindow, qtbot: QtBot
) -> None:
    qtbot.keyClick(giving, Key.Key_F)
    qtbot.keyClick(giving, Key.Key_K)
    (note,) = giving.session.state.notes
    qtbot.keyClick(giving, Key.Key_N)
    words = giving[NotesFeature].panel._words
    qtbot.waitUntil(words.hasFocus)
    assert giving.session.state.notes == (note,) and words.toPlainText() == note.text
    assert "The finding kept here is this note" in giving.message_line.text
    qtbot.keyClick(words, Key.Key_Escape)
    giving.playhead.seek(note.video_s + 0.5)
    qtbot.keyClick(giving, Key.Key_N)
    assert len(giving.session.state.notes) == 2, "elsewhere it is a note of its own"


def test_another_review_begins_with_its_first_finding_and_with_the_findings_in_front(
    giving: MainWindow, submission: Path, qtbot: QtBot
) -> None:
    qtbot.keyClick(giving, Key.Key_F)
    chosen = giving[Findings].selected
    giving.tabs.show_named("Notes")
    (submission / "other").mkdir()
    GIVING.write(submission / "other" / "other.csv")
    open_and_wait(giving, qtbot, submission / "other" / "other.csv")
    qtbot.waitUntil(lambda: not giving.jobs.running, timeout=20000)
    assert giving.tabs.current_name == "Findings"
    first = giving[Findings].found[0]
    assert chosen is not None and first.code == chosen.code, "the same is found in both"
    assert giving[Findings].selected is None
    qtbot.keyClick(giving, Key.Key_F)
    assert giving[Findings].selected is first


def test_ctrl_return_after_the_words_of_one_goes_on_to_the_next_open_one(
    giving: MainWindow, qtbot: QtBot
) -> None:
    """Esc only ends the writing; where nothing is left to decide it says so."""
    findings, codes = giving[Findings], [f.code for f in giving[Findings].found]
    assert len(codes) >= 2
    ctrl = Qt.KeyboardModifier.ControlModifier
    for key, at in ((Key.Key_Escape, 0), (Key.Key_Return, 1)):
        findings.choose(codes[0])
        findings.reword()
        words = giving.findChild(QPlainTextEdit)
        assert words is not None
        qtbot.keyClicks(words, "Mine. ")
        qtbot.keyClick(words, key, ctrl if key == Key.Key_Return else Qt.KeyboardModifier(0))
        assert findings.selected is not None and findings.selected.code == codes[at]
    for code in codes[1:-1]:
        findings.choose(code)
        findings.drop()
    findings.choose(codes[-1])
    findings.reword()
    qtbot.keyClick(giving.findChild(QPlainTextEdit), Key.Key_Return, ctrl)
    assert giving.message_line.text == "Every finding is kept or dropped."
    assert findings.selected is not None and findings.selected.code == codes[-1]


def test_n_opens_the_words_of_one_just_kept_and_begins_a_note_once_it_is_worded(
    giving: MainWindow, qtbot: QtBot
) -> None:
    giving[Findings].choose(giving[Findings].found[0].code)
    giving[Findings].keep()
    notes = giving[Notes]
    notes.drop()
    assert len(giving.session.state.notes) == 1
    notes.write("In my own words.")
    notes.drop()
    assert [n.text for n in giving.session.state.notes if n is not notes.selected] == [
        "In my own words."
    ]


def test_ctrl_e_is_left_to_the_window_while_words_are_typed(
    giving: MainWindow, qtbot: QtBot
) -> None:
    """Some desktops go to the end of a line with it; here it sends."""
    giving[Notes].drop()
    words = giving.findChild(QPlainTextEdit)
    assert words is not None
    ctrl = Qt.KeyboardModifier.ControlModifier
    for key, taken in ((Key.Key_E, False), (Key.Key_Return, True), (Key.Key_A, True)):
        event = QKeyEvent(QEvent.Type.ShortcutOverride, key, ctrl)
        event.ignore()
        QApplication.sendEvent(words, event)
        assert event.isAccepted() == taken
