"""Speaking, hearing and trimming notes in the window, with samples a test hands over."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest
from PySide6.QtCore import QPoint, Qt
from pytestqt.qtbot import QtBot

from app.review.file.store import asset_names, read_review
from app.review.parts.notes import Note
from app.review.recording import Place, Recording, folder_of
from app.review.voice import samples_of
from app.window.features.notes.feature import NotesFeature
from app.window.features.notes.notes import Notes
from app.window.features.notes.voice import Voice
from app.window.main_window import MainWindow
from app.window.sound.level_meter import LevelMeter, level_of
from app.window.sound.microphone_dialog import MicrophoneDialog
from app.window.sound.microphone_use import MicrophoneUse
from tests.app.window.conftest import open_and_wait
from tests.app.window.unsaved import refused, saved
from tests.helpers.refusing_disks import held
from tests.helpers.voices import FakeMicrophones, FakeSpeaker, tone

Key = Qt.Key


@pytest.fixture
def microphones(loaded: MainWindow) -> FakeMicrophones:
    fakes = FakeMicrophones("Headset", "Laptop")
    loaded[MicrophoneUse].microphones = fakes
    return fakes


@pytest.fixture
def speaker(loaded: MainWindow) -> FakeSpeaker:
    fake = FakeSpeaker()
    loaded[Voice].player.open_speaker = fake.open
    return fake


def only_note(bench: MainWindow) -> Note:
    (note,) = bench.session.state.notes
    return note


def spoken(bench: MainWindow, qtbot: QtBot, microphones: FakeMicrophones, seconds: float) -> Note:
    qtbot.keyClick(bench, Key.Key_O)
    microphones.speak(tone(seconds))
    qtbot.keyClick(bench, Key.Key_O)
    return only_note(bench)


def review_path(bench: MainWindow) -> Path:
    assert bench.session.review is not None and bench.session.review.path is not None
    return bench.session.review.path


def test_press_speak_press_pins_a_voice_to_the_moment(
    loaded: MainWindow, qtbot: QtBot, microphones: FakeMicrophones
) -> None:
    qtbot.keyClick(loaded, Key.Key_Down)
    qtbot.waitUntil(lambda: loaded.playhead.time_s == loaded.playhead.wanted_s)
    at_s = loaded.playhead.moment_s
    note = spoken(loaded, qtbot, microphones, 1.5)
    assert note.video_s == at_s and note.phase == "catch"
    assert note.voice is not None and note.voice.length_s == pytest.approx(1.5)
    assert read_review(saved(loaded, qtbot)) == loaded.session.state
    assert loaded.session.review is not None
    assert samples_of(loaded.session.review.sound(note.voice.id)).tobytes() == tone(1.5)
    assert asset_names(review_path(loaded)) == {note.voice.id}
    assert not folder_of(review_path(loaded)).exists()
    assert microphones.closed == 1 and loaded[Notes].selected == note
    assert loaded[Voice].row.isVisibleTo(loaded[NotesFeature].panel)


def test_a_new_voice_is_seen_and_the_keys_stay_with_the_bench(
    loaded: MainWindow, qtbot: QtBot, microphones: FakeMicrophones
) -> None:
    loaded.tabs.setCurrentIndex(0)
    spoken(loaded, qtbot, microphones, 1.0)
    assert loaded.tabs.currentWidget() is loaded[NotesFeature].panel
    assert not loaded[NotesFeature].panel._words.hasFocus()


def test_a_key_held_ends_with_its_release(
    loaded: MainWindow, qtbot: QtBot, microphones: FakeMicrophones
) -> None:
    qtbot.keyPress(loaded, Key.Key_O)
    assert loaded[Voice].speaking.is_on and loaded[Voice].strip.isVisible()
    microphones.speak(tone(0.6))
    qtbot.keyRelease(loaded, Key.Key_O)
    assert not loaded[Voice].speaking.is_on and not loaded[Voice].strip.isVisible()
    assert only_note(loaded).voice is not None


def test_a_short_press_goes_on_after_its_release(
    loaded: MainWindow, qtbot: QtBot, microphones: FakeMicrophones
) -> None:
    qtbot.keyPress(loaded, Key.Key_O)
    microphones.speak(tone(0.1))
    qtbot.keyRelease(loaded, Key.Key_O)
    assert loaded[Voice].speaking.is_on
    microphones.speak(tone(1.0))
    qtbot.keyRelease(loaded, Key.Key_O)  # some other release
    assert loaded[Voice].speaking.is_on
    qtbot.keyClick(loaded, Key.Key_O)
    assert only_note(loaded).voice is not None


def test_playing_goes_on_while_speaking_and_its_sound_is_off(
    loaded: MainWindow, qtbot: QtBot, microphones: FakeMicrophones
) -> None:
    qtbot.keyClick(loaded, Key.Key_Space)
    qtbot.keyClick(loaded, Key.Key_O)
    assert loaded.playhead.is_playing and not loaded.sound.is_sounding
    microphones.speak(tone(0.5))
    qtbot.keyClick(loaded, Key.Key_O)
    assert loaded.playhead.is_playing
    loaded.playhead.pause()


def test_without_a_microphone_there_is_a_sentence_and_nothing_else(
    loaded: MainWindow, qtbot: QtBot
) -> None:
    loaded[MicrophoneUse].microphones = FakeMicrophones()
    qtbot.keyClick(loaded, Key.Key_O)
    assert loaded.message_line.text.startswith("No microphone was found")
    assert not loaded[Voice].speaking.is_on and loaded.session.state.notes == ()
    assert not folder_of(review_path(loaded)).exists()


def test_a_microphone_pulled_out_keeps_what_was_spoken(
    loaded: MainWindow, qtbot: QtBot, microphones: FakeMicrophones
) -> None:
    qtbot.keyClick(loaded, Key.Key_O)
    microphones.speak(tone(0.7))
    microphones.microphone.lost.emit("The microphone Headset is gone.")
    assert loaded.message_line.text == (
        "The microphone Headset is gone. What was spoken before is kept."
    )
    voice = only_note(loaded).voice
    assert voice is not None and voice.length_s == pytest.approx(0.7)


def test_only_silence_is_said(
    loaded: MainWindow, qtbot: QtBot, microphones: FakeMicrophones
) -> None:
    qtbot.keyClick(loaded, Key.Key_O)
    microphones.speak(bytes(48000))
    qtbot.keyClick(loaded, Key.Key_O)
    assert "only silence" in loaded.message_line.text


def test_thrown_away_leaves_nothing(
    loaded: MainWindow, qtbot: QtBot, microphones: FakeMicrophones
) -> None:
    qtbot.keyClick(loaded, Key.Key_O)
    microphones.speak(tone(0.7))
    loaded.menus.actions["throw_voice_away"].trigger()
    assert loaded.session.state.notes == () and not loaded[Voice].speaking.is_on
    assert not folder_of(review_path(loaded)).exists()


def test_a_typed_note_at_this_moment_gets_the_voice(
    loaded: MainWindow, qtbot: QtBot, microphones: FakeMicrophones
) -> None:
    qtbot.keyClick(loaded, Key.Key_N)
    loaded[Notes].write("Sit up.")
    note = spoken(loaded, qtbot, microphones, 0.5)
    assert note.text == "Sit up." and note.voice is not None


def test_undo_brings_a_removed_and_a_rerecorded_voice_back(
    loaded: MainWindow, qtbot: QtBot, microphones: FakeMicrophones
) -> None:
    first = spoken(loaded, qtbot, microphones, 0.5).voice
    loaded.menus.actions["record_anew"].trigger()
    microphones.speak(tone(0.9))
    loaded.menus.actions["record_anew"].trigger()
    second = only_note(loaded).voice
    assert first is not None and second is not None and second.length_s == pytest.approx(0.9)
    loaded.session.undo()
    assert only_note(loaded).voice == first
    loaded[Notes].delete()
    loaded.session.undo()
    assert only_note(loaded).voice == first
    assert loaded.session.review is not None
    assert samples_of(loaded.session.review.sound(first.id)).tobytes() == tone(0.5)


def test_it_plays_at_its_moment_and_is_cut_where_it_is_heard(
    loaded: MainWindow, qtbot: QtBot, microphones: FakeMicrophones, speaker: FakeSpeaker
) -> None:
    note = spoken(loaded, qtbot, microphones, 2.0)
    loaded.playhead.seek(3.0)
    qtbot.keyClick(loaded, Key.Key_O, Qt.KeyboardModifier.ShiftModifier)
    assert speaker.is_open and speaker.pcm == tone(2.0)
    assert loaded.playhead.wanted_s == pytest.approx(note.video_s, abs=0.05)
    speaker.at_s = 0.5
    loaded.menus.actions["trim_start"].trigger()
    assert not speaker.is_open
    voice = only_note(loaded).voice
    assert voice is not None and voice.trim_start_s == pytest.approx(0.5)
    loaded.menus.actions["play_voice"].trigger()
    assert speaker.pcm == tone(2.0)[48000:]
    speaker.at_s = 1.0
    loaded.menus.actions["trim_end"].trigger()
    voice = only_note(loaded).voice
    assert voice is not None and voice.heard_s == pytest.approx(1.0)
    loaded.menus.actions["untrim"].trigger()
    voice = only_note(loaded).voice
    assert voice is not None and voice.heard_s == pytest.approx(2.0)


def test_playing_ends_by_itself(
    loaded: MainWindow, qtbot: QtBot, microphones: FakeMicrophones, speaker: FakeSpeaker
) -> None:
    spoken(loaded, qtbot, microphones, 0.5)
    loaded.menus.actions["play_voice"].trigger()
    speaker.at_s = 0.5
    qtbot.waitUntil(lambda: not speaker.is_open)
    assert not loaded[Voice].player.is_on


def test_an_end_is_dragged_in_one_step_back(
    loaded: MainWindow, qtbot: QtBot, microphones: FakeMicrophones
) -> None:
    whole = spoken(loaded, qtbot, microphones, 2.0).voice
    loaded.tabs.setCurrentWidget(loaded[NotesFeature].panel)
    wave = loaded[Voice].row.wave
    middle = wave.height() // 2
    right = round(wave.x_of(2.0)) - 1
    qtbot.mousePress(wave, Qt.MouseButton.LeftButton, pos=QPoint(right, middle))
    for second in (1.8, 1.5, 1.25):
        qtbot.mouseMove(wave, QPoint(round(wave.x_of(second)), middle))
    qtbot.mouseRelease(wave, Qt.MouseButton.LeftButton, pos=QPoint(round(wave.x_of(1.25)), middle))
    voice = only_note(loaded).voice
    assert voice is not None
    assert voice.trim_end_s == pytest.approx(1.25, abs=0.05) and voice.trim_start_s == 0.0
    loaded.session.undo()
    assert only_note(loaded).voice == whole


def test_closing_the_bench_keeps_what_is_being_said(
    loaded: MainWindow, qtbot: QtBot, microphones: FakeMicrophones
) -> None:
    path = review_path(loaded)
    qtbot.keyClick(loaded, Key.Key_O)
    microphones.speak(tone(0.8))
    loaded.close()
    (note,) = read_review(path).notes
    assert note.voice is not None and note.voice.length_s == pytest.approx(0.8)


def test_the_recording_lies_beside_until_the_review_holds_it(
    loaded: MainWindow, qtbot: QtBot, microphones: FakeMicrophones
) -> None:
    path = saved(loaded, qtbot)
    with held(path):
        note = spoken(loaded, qtbot, microphones, 1.5)
        refused(loaded, qtbot)
        (wav,) = folder_of(path).glob("*.wav")
        assert note.voice is not None and wav.stem == note.voice.id
    saved(loaded, qtbot)
    assert asset_names(path) == {note.voice.id}
    assert not folder_of(path).exists()


def test_what_a_crash_left_is_a_note_on_opening(loaded: MainWindow, qtbot: QtBot) -> None:
    path = review_path(loaded)
    left = Recording(path, Place(1.25, "drive"))
    left.add(tone(0.75))
    left.finish()
    loaded.session.open_review(path)
    qtbot.waitUntil(lambda: not loaded.jobs.running and len(loaded.session.state.notes) == 1)
    note = only_note(loaded)
    assert (note.video_s, note.phase) == (1.25, "drive")
    assert note.voice is not None and note.voice.length_s == pytest.approx(0.75)


def test_opening_another_review_ends_the_recording_in_its_own(
    loaded: MainWindow, qtbot: QtBot, microphones: FakeMicrophones, submission: Path
) -> None:
    path = review_path(loaded)
    qtbot.keyClick(loaded, Key.Key_O)
    microphones.speak(tone(0.8))
    (submission / "piece.csv").rename(submission / "other.csv")
    open_and_wait(loaded, qtbot, submission / "other.csv", submission / "piece.mp4")
    assert len(read_review(path).notes) == 1


def test_the_microphone_is_remembered(
    loaded: MainWindow, qtbot: QtBot, microphones: FakeMicrophones
) -> None:
    loaded.menus.actions["microphone"].trigger()
    dialog = loaded.findChild(MicrophoneDialog)
    assert dialog is not None
    dialog._box.setCurrentText("Laptop")
    dialog._choose()
    microphones.speak(tone(0.2, -6.0))
    assert dialog._meter.shown_db == pytest.approx(-6.0, abs=0.1)
    dialog.accept()
    qtbot.keyClick(loaded, Key.Key_O)
    assert microphones.opened[-1] == "Laptop"
    loaded[Voice].speaking.throw_away()


def test_the_level_is_that_of_the_samples() -> None:
    """A full-scale sine has -3.01 dB of mean power, 20 log10(1 / sqrt 2)."""
    full = level_of(tone(1.0, 0.0))
    assert full.rms_db == pytest.approx(20 * math.log10(1 / math.sqrt(2)), abs=0.001)
    assert full.peak_db == pytest.approx(0.0, abs=0.01) and full.clipped
    assert level_of(tone(1.0, -20.0)).peak_db == pytest.approx(-20.0, abs=0.01)
    assert level_of(bytes(960)).peak_db == -math.inf
    assert level_of(np.array([-32768], "<i2").tobytes()).clipped


def test_the_meter_rises_at_once_and_falls_slowly(qtbot: QtBot) -> None:
    meter = LevelMeter()
    qtbot.addWidget(meter)
    meter.show_level(level_of(tone(0.04, -12.0)))
    assert meter.shown_db == pytest.approx(-12.0, abs=0.1) and meter.words == "good"
    meter.show_level(level_of(bytes(960)))
    assert meter.shown_db == pytest.approx(-13.5, abs=0.1)
    for _ in range(100):
        meter.show_level(level_of(bytes(960)))
    assert meter.shown_db == -60.0 and meter.words == "quiet"
    meter.show_level(level_of(tone(0.04, 0.0)))
    assert meter.words == "too loud"
