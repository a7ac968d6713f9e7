"""What is spoken is written down by itself; the coach reads, corrects, accepts; a click jumps."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from app.review.parts.sending import SetSending
from app.review.parts.spoken_words import SpokenText, SpokenWord, WriteDown, spoken_of
from app.window.features.notes.voice import Voice
from app.window.main_window import MainWindow
from app.window.sound.microphone_use import MicrophoneUse
from app.window.sound.words_view import ACCEPTED, DRAFT, REMOVED, SpokenWordsView
from app.window.sound.writing_down import OTHER_LANGUAGE, SWITCHED_OFF, WritingDown
from tests.helpers.voices import FakeMicrophones, FakeSpeaker, tone

HEARD = (
    SpokenWord("Hang", 0.1, 0.4),
    SpokenWord("at", 0.4, 0.5, "to"),
    SpokenWord("the", 0.5, 0.6, "look"),
    SpokenWord("catch.", 0.6, 0.9, "at."),
)


@pytest.fixture
def calls(loaded: MainWindow, monkeypatch: pytest.MonkeyPatch) -> list[tuple[object, ...]]:
    """What the child process is asked; it answers with the same words."""
    asked: list[tuple[object, ...]] = []

    def call(_function: str, args: tuple[object, ...], *_rest: object) -> object:
        asked.append(args)
        return HEARD

    monkeypatch.setattr("app.window.sound.writing_down.can_write_down", lambda: True)
    monkeypatch.setattr(loaded.jobs.process_pool, "call", call)
    loaded[MicrophoneUse].microphones = FakeMicrophones("Headset")
    return asked


def speak(bench: MainWindow, qtbot: QtBot) -> str:
    microphones = bench[MicrophoneUse].microphones
    assert isinstance(microphones, FakeMicrophones)
    before = len(bench.session.state.notes)
    qtbot.keyClick(bench, Qt.Key.Key_O)
    microphones.speak(tone(1.0))
    qtbot.keyClick(bench, Qt.Key.Key_O)
    assert len(bench.session.state.notes) == before + 1
    note = next(n for n in bench.session.state.notes if n.voice is not None)
    assert note.voice is not None
    return note.voice.id


def written(bench: MainWindow, sound: str) -> Callable[[], bool]:
    return lambda: spoken_of(bench.session.state, sound) is not None


def view(bench: MainWindow) -> SpokenWordsView:
    return bench[Voice].words


def test_a_voice_becomes_a_draft_that_is_corrected_and_accepted(
    loaded: MainWindow, qtbot: QtBot, calls: list[tuple[object, ...]]
) -> None:
    sound = speak(loaded, qtbot)
    qtbot.waitUntil(written(loaded, sound))
    shown = view(loaded)
    assert shown.isVisibleTo(loaded) and shown.text.toPlainText() == "Hang at the catch."
    assert shown.says.text() == DRAFT and shown.text.isReadOnly()
    shown.correct.click()
    shown.text.setPlainText("Hang on at the catch.")
    shown.correct.click()
    draft = spoken_of(loaded.session.state, sound)
    assert draft is not None and draft.text == "Hang on at the catch." and not draft.accepted
    assert draft.words[2:] == HEARD[1:]
    shown.accept.click()
    accepted = spoken_of(loaded.session.state, sound)
    assert accepted is not None and accepted.accepted and shown.says.text() == ACCEPTED
    for _ in range(2):
        loaded.session.undo()
    again = spoken_of(loaded.session.state, sound)
    assert again is not None and again.words == HEARD and not again.accepted
    loaded.session.undo()
    assert loaded.session.state.notes == () and loaded.session.state.spoken == ()
    assert len(calls) == 1


def test_a_click_on_a_word_jumps_there(
    loaded: MainWindow, qtbot: QtBot, calls: list[tuple[object, ...]]
) -> None:
    speaker = FakeSpeaker()
    loaded[Voice].player.open_speaker = speaker.open
    sound = speak(loaded, qtbot)
    qtbot.waitUntil(written(loaded, sound))
    shown = view(loaded)
    cursor = shown.text.textCursor()
    cursor.setPosition(shown.text.toPlainText().index("catch") + 2)
    place = shown.text.cursorRect(cursor).center()
    QTest.mouseClick(shown.text.viewport(), Qt.MouseButton.LeftButton, pos=place)
    assert loaded[Voice].player.at_s == pytest.approx(0.6, abs=0.02)


def test_only_english_is_written_down_and_only_when_wanted(
    loaded: MainWindow, qtbot: QtBot, calls: list[tuple[object, ...]]
) -> None:
    loaded.session.do(SetSending(language="de"))
    sound = speak(loaded, qtbot)
    assert view(loaded).says.text() == OTHER_LANGUAGE and not calls
    loaded[WritingDown].turn()
    loaded.session.do(SetSending(language="en"))
    assert loaded[WritingDown].why_not(sound) == SWITCHED_OFF and not calls
    loaded[WritingDown].turn()
    qtbot.waitUntil(written(loaded, sound))
    assert len(calls) == 1


def test_where_the_package_is_missing_the_bench_says_so(
    loaded: MainWindow, qtbot: QtBot, calls: list[tuple[object, ...]],
    monkeypatch: pytest.MonkeyPatch,
) -> None:  # fmt: skip
    monkeypatch.setattr("app.window.sound.writing_down.can_write_down", lambda: False)
    speak(loaded, qtbot)
    assert "moonshine-voice" in view(loaded).says.text() and not calls
    assert not view(loaded).accept.isVisibleTo(loaded) and not view(loaded).again.isEnabled()


def test_what_was_removed_is_not_written_down_again(
    loaded: MainWindow, qtbot: QtBot, calls: list[tuple[object, ...]]
) -> None:
    sound = speak(loaded, qtbot)
    qtbot.waitUntil(written(loaded, sound))
    view(loaded).remove.click()
    loaded.session.do(SetSending(coach="Anna"))
    left = spoken_of(loaded.session.state, sound)
    assert left is not None and left.words == () and len(calls) == 1
    assert view(loaded).says.text() == REMOVED
    view(loaded).again.click()
    qtbot.waitUntil(lambda: bool(loaded.session.state.spoken[0].words))
    loaded.session.do(WriteDown(SpokenText(sound, HEARD)))
