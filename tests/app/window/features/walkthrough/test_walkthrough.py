"""Recording, playing and changing walkthroughs in the window."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtWidgets import QToolButton, QWidget
from pytestqt.qtbot import QtBot

from app.media.video import VideoFile
from app.review.file.store import read_review
from app.review.parts.comparisons import EditComparison, look_of
from app.review.parts.marks import AddMark, DeleteMark, new_mark
from app.review.parts.walk_events import (
    CurveShown,
    Laid,
    MarkDrawn,
    MarkGone,
    Moved,
    Ran,
    Shown,
    Turned,
    Zoomed,
)
from app.review.parts.walkthroughs import Cut, Walkthrough
from app.review.voice import samples_of
from app.review.walkthrough_journal import Journal, journal_folder
from app.review.walkthrough_scene import Scenes
from app.window.features.annotations.drawing import Drawing
from app.window.features.comparing.comparisons import Comparisons
from app.window.features.notes.voice import Voice
from app.window.features.walkthrough.walk_panel import EMPTY
from app.window.features.walkthrough.walkthroughs import Walkthroughs
from app.window.main_window import MainWindow
from app.window.sound.microphone_use import MicrophoneUse
from app.window.sound.recording_strip import SpeakingStrip
from app.window.sound.sample_clock import SampleClock
from tests.app.window.conftest import open_and_wait
from tests.app.window.features.comparing.test_comparing import compare, settle
from tests.app.window.unsaved import saved
from tests.helpers.clips import number_in
from tests.helpers.voices import FakeMicrophones, FakeSpeaker, tone
from tests.helpers.walked import recorded_walk

Key = Qt.Key
Ctrl = Qt.KeyboardModifier.ControlModifier
Shift = Qt.KeyboardModifier.ShiftModifier


class Hand:
    """A clock a test turns, and a microphone that hears as much as it has passed."""

    def __init__(self, bench: MainWindow, qtbot: QtBot, microphones: FakeMicrophones | None):
        self.bench, self.qtbot, self.microphones = bench, qtbot, microphones
        self.now = 100.0

    def begin(self) -> None:
        self.qtbot.keyClick(self.bench, Key.Key_F9)
        self.bench[Walkthroughs].recorder._clock = SampleClock(lambda: self.now)

    def wait(self, seconds: float) -> None:
        self.now += seconds
        if self.microphones is not None:
            self.microphones.speak(tone(seconds))

    def let_run(self, seconds: float) -> None:
        """Let a playhead with this hand's clock run on, each frame there before the next."""
        for _ in range(round(10 * seconds)):
            self.wait(0.1)
            self.bench.playhead._tick()
            self.settle()

    def end(self) -> Walkthrough:
        self.qtbot.keyClick(self.bench, Key.Key_F9)
        return self.bench.session.state.walkthroughs[-1]

    def settle(self) -> None:
        playhead = self.bench.playhead
        self.qtbot.waitUntil(lambda: playhead.time_s == playhead.wanted_s)


class Elapsed:
    """A hand's clock in the place of the playhead's own."""

    def __init__(self, hand: Hand) -> None:
        self._hand = hand
        self.start()

    def start(self) -> None:
        self._from_s = self._hand.now

    def nsecsElapsed(self) -> int:
        return round(1e9 * (self._hand.now - self._from_s))


@pytest.fixture
def hand(loaded: MainWindow, qtbot: QtBot) -> Hand:
    fakes = FakeMicrophones("Headset")
    loaded[MicrophoneUse].microphones = fakes
    return Hand(loaded, qtbot, fakes)


def kinds(walk: Walkthrough, kind: type) -> list:
    return [event for event in walk.score.events if isinstance(event, kind)]


def review_path(bench: MainWindow) -> Path:
    assert bench.session.review is not None and bench.session.review.path is not None
    return bench.session.review.path


def test_everything_that_is_shown_is_noted_when_it_was(
    loaded: MainWindow, hand: Hand, qtbot: QtBot
) -> None:
    mark = new_mark("line", [(10.0, 10.0), (60.0, 40.0)], 0.0)
    hand.begin()
    hand.wait(1.0)
    loaded.playhead.seek(2.0)
    hand.settle()
    hand.wait(1.0)
    hand.qtbot.keyClick(loaded, Key.Key_Right)
    hand.settle()
    hand.wait(1.0)
    loaded.session.do(AddMark(mark))
    hand.wait(0.5)
    hand.qtbot.keyClick(loaded, Key.Key_Z)  # undo of the mark comes below; this zooms
    hand.wait(0.5)
    loaded.session.undo()
    hand.wait(0.5)
    hand.qtbot.keyClick(loaded, Key.Key_M)
    hand.wait(0.5)
    hand.qtbot.keyClick(loaded, Key.Key_V)
    hand.wait(0.5)
    hand.qtbot.keyClick(loaded, Key.Key_V)
    loaded.menus.actions["walk_curve"].trigger()
    hand.wait(0.5)
    walk = hand.end()
    assert walk.length_s == pytest.approx(6.0)
    assert [m.at_s for m in kinds(walk, Moved)][1:] == pytest.approx([1.0, 2.0], abs=1e-3)
    assert [m.video_s for m in kinds(walk, Moved)][1:] == pytest.approx([2.0, 2.0 + 1 / 30])
    assert [(m.at_s, m.mark) for m in kinds(walk, MarkDrawn)] == [(pytest.approx(3.0), mark)]
    assert [m.at_s for m in kinds(walk, MarkGone)] == pytest.approx([4.0])
    assert [z.factor for z in kinds(walk, Zoomed)] == [1.0, loaded.picture.zoom.factor]
    assert loaded.picture.zoom.factor > 1.0
    assert [(t.at_s, t.mirrored) for t in kinds(walk, Turned)][-1] == (pytest.approx(4.5), True)
    assert [s.what for s in kinds(walk, Shown)] == ["picture", "strip", "picture"]
    assert [c.on for c in kinds(walk, CurveShown)] == [True, False]
    assert loaded.session.review is not None
    assert samples_of(loaded.session.review.sound(walk.sound_id)).size == 6 * 48_000
    assert read_review(saved(loaded, qtbot)) == loaded.session.state
    assert not journal_folder(review_path(loaded)).exists()


def test_time_that_runs_is_noted_as_its_line(loaded: MainWindow, hand: Hand) -> None:
    hand.begin()
    playhead = loaded.playhead
    playhead._clock = Elapsed(hand)  # type: ignore[assignment]
    playhead.set_speed(0.5)
    playhead.play()
    hand.let_run(0.8)
    assert playhead.time_s == pytest.approx(0.4)
    hand.wait(0.02)
    playhead.seek(3.0)
    hand.settle()
    hand.let_run(0.5)
    playhead.pause()
    hand.settle()
    hand.wait(1.0)
    walk = hand.end()
    runs = kinds(walk, Ran)
    assert runs[0].rate == 0.0 and runs[-1].rate == 0.0
    assert {r.rate for r in runs[1:-1]} == {0.0, 0.5}
    assert any(r.rate == 0.5 and abs(r.video_s - 3.0) < 0.02 for r in runs)
    scenes = Scenes(walk)
    for event in kinds(walk, Moved):  # what is painted never strays from what was shown
        assert abs(scenes.video_s(event.at_s) - event.video_s) <= 0.01


def test_without_a_microphone_it_is_silent_and_says_so(loaded: MainWindow, qtbot: QtBot) -> None:
    hand = Hand(loaded, qtbot, None)
    hand.begin()
    assert "No microphone was found; the walkthrough is recorded without a voice." in (
        loaded.message_line.text
    )
    assert loaded[Walkthroughs].recorder.microphone_name == "without a voice"
    strips = [s for s in loaded.findChildren(SpeakingStrip) if s.isVisible()]
    assert len(strips) == 1 and not strips[0].meter.isVisible()
    hand.wait(2.0)
    walk = hand.end()
    assert walk.sound_id == "" and walk.length_s == pytest.approx(2.0)


def test_the_strip_says_what_is_recorded_and_the_panel_what_to_do(
    loaded: MainWindow, hand: Hand
) -> None:
    strip, panel = loaded[Walkthroughs].strip, loaded[Walkthroughs].panel
    assert not strip.isVisible()
    loaded.tabs.setCurrentWidget(panel)
    assert any(label.text() == EMPTY for label in panel.findChildren(type(strip._time)))
    hand.begin()
    assert strip.isVisible()
    hand.wait(0.5)
    assert strip.meter.words == "good"
    hand.qtbot.keyClick(loaded, Key.Key_O)  # a note cannot be spoken meanwhile
    assert not loaded[Voice].speaking.is_on
    assert "F9" in loaded.message_line.text
    hand.end()
    assert not strip.isVisible()
    assert loaded.tabs.tabText(loaded.tabs.indexOf(panel)) == "Walkthrough 1"


def test_what_is_too_short_or_thrown_away_leaves_nothing(loaded: MainWindow, hand: Hand) -> None:
    hand.begin()
    hand.wait(0.05)
    hand.qtbot.keyClick(loaded, Key.Key_F9)
    hand.begin()
    hand.wait(2.0)
    loaded.menus.actions["throw_walk_away"].trigger()
    assert loaded.session.state.walkthroughs == ()
    assert not journal_folder(review_path(loaded)).exists()
    assert not loaded[Walkthroughs].recorder.is_on


def test_undo_takes_a_walkthrough_back(loaded: MainWindow, hand: Hand) -> None:
    hand.begin()
    hand.wait(1.0)
    walk = hand.end()
    hand.qtbot.keyClick(loaded, Key.Key_Z, Ctrl)
    assert loaded.session.state.walkthroughs == ()
    loaded.session.redo()
    assert loaded.session.state.walkthroughs == (walk,)


def test_a_slip_is_cut_out_with_keys_and_with_the_mouse(loaded: MainWindow, qtbot: QtBot) -> None:
    recorded_walk(loaded, Moved(0.0, 1.0))
    walks, panel = loaded[Walkthroughs].walks, loaded[Walkthroughs].panel
    loaded.tabs.setCurrentWidget(panel)

    def cuts() -> tuple[Cut, ...]:
        return loaded.session.state.walkthroughs[0].cuts

    walks.go(2.0)
    loaded.menus.actions["walk_from"].trigger()
    walks.go(4.0)
    loaded.menus.actions["walk_to"].trigger()
    loaded.menus.actions["walk_cut"].trigger()
    assert cuts() == (Cut(2.0, 4.0),)
    walks.go(3.0)
    loaded.menus.actions["walk_back"].trigger()
    assert cuts() == ()
    line = panel.timeline
    left, right = (QPoint(round(line.x_of(s)), 30) for s in (5.0, 6.0))
    qtbot.mousePress(line, Qt.MouseButton.LeftButton, pos=left)
    qtbot.mouseMove(line, right)
    qtbot.mouseRelease(line, Qt.MouseButton.LeftButton, pos=right)
    button = next(b for b in panel.findChildren(type(panel._play)) if b.text() == "Cut out")
    qtbot.mouseClick(button, Qt.MouseButton.LeftButton)
    (cut,) = cuts()
    assert cut.from_s == pytest.approx(5.0, abs=0.06)
    assert cut.to_s == pytest.approx(6.0, abs=0.06)
    loaded.session.undo()
    assert cuts() == ()


def test_captions_are_typed_changed_and_taken_away(loaded: MainWindow, qtbot: QtBot) -> None:
    recorded_walk(loaded, Moved(0.0, 1.0))
    panel = loaded[Walkthroughs].panel

    def captions() -> list[tuple[float, float, str]]:
        walk = loaded.session.state.walkthroughs[0]
        return [(c.from_s, c.to_s, c.text) for c in walk.captions]

    loaded[Walkthroughs].walks.go(1.0)
    qtbot.keyClick(loaded, Key.Key_F7)
    qtbot.keyClicks(panel.words, "Hang")
    assert captions() == [(1.0, 4.0, "Hang")]
    qtbot.keyClick(panel.words, Key.Key_Return)
    assert panel.words.text() == ""
    loaded[Walkthroughs].walks.select(6.0, 7.0)
    qtbot.keyClick(loaded, Key.Key_F7)
    qtbot.keyClicks(panel.words, "Now")
    qtbot.keyClick(panel.words, Key.Key_Return)
    assert captions() == [(1.0, 4.0, "Hang"), (6.0, 7.0, "Now")]
    assert [panel.captions.item(i).text() for i in range(2)] == ["0:01.0  Hang", "0:06.0  Now"]
    panel.captions.itemClicked.emit(panel.captions.item(0))
    assert panel.words.text() == "Hang"
    panel.words.setFocus()
    qtbot.keyClicks(panel.words, " off")
    assert captions()[0] == (1.0, 4.0, "Hang off")
    panel.words.selectAll()
    qtbot.keyClick(panel.words, Key.Key_Delete)
    assert captions() == [(6.0, 7.0, "Now")]


def test_the_strip_of_a_recording_stays_over_a_comparison(
    loaded: MainWindow, hand: Hand, qtbot: QtBot
) -> None:
    hand.begin()
    strip = loaded[Walkthroughs].strip
    assert strip.isVisible()
    qtbot.keyClick(loaded, Key.Key_V)  # the stroke strip, and then two strokes in its place
    compare(loaded, qtbot)
    top = [child for child in loaded.stage.children() if isinstance(child, QWidget)][-1]
    assert top is strip, "what is raised last lies on top"
    done = strip.findChild(QToolButton)
    assert done is not None
    middle = done.mapTo(loaded.stage, done.rect().center())
    assert loaded.stage.childAt(middle) is done
    hand.wait(1.0)
    hand.end()


def test_a_walkthrough_cut_off_by_a_crash_is_there_and_told(
    bench: MainWindow, qtbot: QtBot, submission: Path
) -> None:
    open_and_wait(bench, qtbot, submission / "piece.mp4", submission / "piece.csv")
    path = review_path(bench)
    bench.session.close()
    journal = Journal(path, "Walkthrough 1", with_sound=True)
    journal.add(Moved(0.0, 1.0))
    assert journal.sound is not None
    journal.sound.add(tone(3.0))
    journal.finish()
    with qtbot.waitSignal(bench.session.opened):
        bench.session.open_review(path)
    assert [w.length_s for w in bench.session.state.walkthroughs] == [3.0]
    assert "walkthrough under way" in bench.message_line.text


def test_the_film_is_written_from_the_window(loaded: MainWindow, hand: Hand) -> None:
    loaded.playhead.seek(1.0)
    hand.settle()
    hand.begin()
    hand.wait(0.5)
    loaded.playhead.seek(2.0)
    hand.settle()
    hand.wait(0.5)
    hand.end()
    walks = loaded[Walkthroughs].walks
    with hand.qtbot.waitSignal(walks.written, timeout=20_000) as got:
        loaded.menus.actions["write_walk"].trigger()
    (result,) = got.args
    assert result.path.name == "piece-walkthrough-1.mp4"
    with VideoFile.open(result.path) as film:
        numbers = [number_in(film.frame_rgb(i)[:180]) for i in range(len(film.index))]
    assert numbers == [30] * 15 + [60] * 15


def test_a_mark_in_hand_is_left_out_and_put_back(loaded: MainWindow, qtbot: QtBot) -> None:
    mark = new_mark("line", [(10.0, 10.0), (60.0, 40.0)], 0.0)
    loaded.session.do(AddMark(mark))
    recorded_walk(loaded, Moved(0.0, 0.0), MarkDrawn(0.0, mark))
    loaded[Drawing].choose(mark.id)
    loaded.menus.actions["walk_leave_out"].trigger()
    assert loaded.session.state.walkthroughs[0].left_out == (mark.id,)
    loaded.menus.actions["walk_leave_out"].trigger()
    assert loaded.session.state.walkthroughs[0].left_out == ()
    loaded.session.do(DeleteMark(mark.id))


def test_a_comparison_shown_and_put_away_is_noted(loaded: MainWindow, hand: Hand) -> None:
    pair = compare(loaded, hand.qtbot)
    loaded[Comparisons].comparing.show("")
    hand.begin()
    hand.wait(1.0)
    hand.qtbot.keyClick(loaded, Key.Key_V)  # the strip, and the comparison in its place
    loaded[Comparisons].comparing.show(pair.id)
    settle(loaded, hand.qtbot)
    hand.wait(1.0)
    other = compare(loaded, hand.qtbot, 1, 2)
    hand.wait(1.0)
    loaded[Comparisons].comparing.show("")
    hand.wait(1.0)
    walk = hand.end()
    shown = [(s.at_s, s.what, s.ref) for s in kinds(walk, Shown)]
    assert shown[0] == (0.0, "picture", "")
    assert [s[1:] for s in shown[-3:]] == [
        ("comparison", pair.id),
        ("comparison", other.id),
        ("picture", ""),
    ]
    assert [s[0] for s in shown[-3:]] == pytest.approx([1.0, 2.0, 3.0])


def test_how_a_comparison_is_laid_together_is_noted_and_played_back(
    loaded: MainWindow, hand: Hand
) -> None:
    pair = compare(loaded, hand.qtbot)
    hand.begin()
    hand.wait(1.0)
    loaded.session.do(EditComparison(pair.id, layout="above"))
    hand.wait(1.0)
    loaded.session.do(EditComparison(pair.id, timing="free", shift_s=0.25))
    hand.wait(1.0)
    loaded.session.do(EditComparison(pair.id, title="Only its name"))
    hand.wait(1.0)
    walk = hand.end()
    first = look_of(pair)
    above = replace(first, layout="above")
    free = replace(above, timing="free", shift_s=0.25)
    noted = kinds(walk, Laid)
    assert [e.look for e in noted] == [first, above, free]
    assert [e.at_s for e in noted] == pytest.approx([0.0, 1.0, 2.0])
    over = replace(first, layout="over", opacity=0.25)
    loaded.session.do(
        EditComparison(pair.id, layout="over", timing="phase", shift_s=0, opacity=0.25)
    )
    comparing, player = loaded[Comparisons].comparing, loaded[Walkthroughs].player
    speaker = FakeSpeaker()
    player.open_speaker = speaker.open
    loaded[Walkthroughs].walks.choose(walk.id)
    before = loaded.session.state
    hand.qtbot.keyClick(loaded, Key.Key_F8)
    player._sounding = speaker
    for heard_s, wanted in ((0.5, first), (1.5, above), (2.5, free), (0.5, first)):
        speaker.at_s = heard_s
        player._tick()
        assert comparing.selected is not None and look_of(comparing.selected) == wanted
    hand.qtbot.keyClick(loaded, Key.Key_F8)
    assert not player.is_on
    assert comparing.selected is not None and look_of(comparing.selected) == over
    assert loaded.session.state == before, "playing changes nothing in the review"
