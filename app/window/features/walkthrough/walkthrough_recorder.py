"""Recording a walkthrough: what is shown, as events on the clock of the voice.

Listens to the playhead, the review and the picture, never to a key or a button, so that whatever
moves them is in the walkthrough.
"""

from __future__ import annotations

import math

from PySide6.QtCore import QObject, QTimer, Signal

from app.review.parts.marks import Mark
from app.review.parts.picture import PictureTurn
from app.review.parts.state import ReviewState
from app.review.parts.walk_events import (
    CurveShown,
    Event,
    Laid,
    MarkDrawn,
    MarkGone,
    Moved,
    Ran,
    Shown,
    Turned,
    Zoomed,
)
from app.review.parts.walkthroughs import AddWalkthrough, new_walkthrough
from app.review.review import Review
from app.review.voice import SHORTEST_S
from app.review.walkthrough_journal import Journal
from app.window.session.playhead import Playhead
from app.window.session.review_session import ReviewSession
from app.window.session.settings import Settings
from app.window.sound.level_meter import Level, level_of
from app.window.sound.microphone import Microphone, NoMicrophone
from app.window.sound.microphone_use import MicrophoneUse
from app.window.sound.sample_clock import SampleClock
from app.window.tasks.message_line import Messages
from app.window.views.picture import PictureView
from app.window.views.sound_player import SoundPlayer
from app.window.views.stage import Shown as OnStage
from app.window.views.stage import Stage

LONGEST_S = 1800.0
TICK_MS = 100
# Time that runs is written down anew where it has left its line by this much: a loop, a jump, or
# two clocks that slowly part.
OFF_LINE_S = 0.004
NO_REVIEW = "Open footage or force first; a walkthrough shows something."
SHORT = "That was too short for a walkthrough; press F9, show and speak, and press F9 again."
SILENT = Level(-math.inf, -math.inf, False)


class WalkthroughRecorder(QObject):
    """Records one walkthrough at a time and puts it into the review."""

    changed = Signal(bool)  # whether one is being recorded
    heard = Signal(object, float)  # Level, seconds so far
    kept = Signal(str)  # the id of a walkthrough that came into the review

    def __init__(
        self,
        playhead: Playhead,
        session: ReviewSession,
        picture: PictureView,
        stage: Stage,
        sound: SoundPlayer,
        microphone: MicrophoneUse,
        messages: Messages,
        settings: Settings,
        parent: QObject | None = None,
    ) -> None:
        super().__init__(parent)
        self._playhead, self._session, self._picture = playhead, session, picture
        self._sound, self._messages, self._settings = sound, messages, settings
        self._use, self._stage = microphone, stage
        self._microphone: Microphone | None = None
        self._journal: Journal | None = None
        self._review: Review | None = None
        self._clock = SampleClock()
        self._line = (0.0, 0.0, 0.0)  # at_s, video_s, rate
        self._peak = False
        self.curve = True
        self._shown = OnStage()
        stage.shown_changed.connect(self.look)
        self._zoom = picture.zoom
        self._timer = QTimer(self)
        self._timer.setInterval(TICK_MS)
        self._timer.timeout.connect(self._tick)
        playhead.moved.connect(self._moved)
        playhead.wanted.connect(self._wanted)
        playhead.playing_changed.connect(lambda _on: self._ran())
        playhead.speed_changed.connect(lambda _speed: self._ran())
        session.state_changed.connect(self._take_state)
        picture.size_wanted.connect(lambda _size: self._zoomed())

    @property
    def is_on(self) -> bool:
        """Whether a walkthrough is being recorded."""
        return self._journal is not None

    @property
    def hears(self) -> bool:
        """Whether a microphone is open."""
        return self._microphone is not None

    @property
    def microphone_name(self) -> str:
        """What is recorded with."""
        return self._microphone.name if self._microphone is not None else "without a voice"

    @property
    def at_s(self) -> float:
        """Seconds of the recording at this instant."""
        return self._clock.seconds()

    def toggle(self) -> None:
        """Begin to record, or end it and keep it."""
        if self.is_on:
            self.stop()
        else:
            self._begin()

    def stop(self) -> None:
        """End the recording and keep it."""
        review, journal = self._review, self._journal
        if review is None or journal is None:
            return
        end_s, is_silent = self._clock.seconds(), journal.sound is None
        self._let_go()
        wav = journal.finish()
        length_s = end_s if journal.sound is None else journal.sound.length_s
        if length_s < SHORTEST_S:
            journal.discard()
            self._messages.say(SHORT)
            return
        if not is_silent:
            review.keep_sound(journal.id, wav)
        events = [event for event in journal.events if event.at_s <= length_s]
        sound_id = "" if is_silent else journal.id
        walk = new_walkthrough(events, length_s, sound_id, journal.title, journal.id)
        if review is self._session.review:
            self._session.do(AddWalkthrough(walk))
        else:
            review.do(AddWalkthrough(walk))
        review.when_saved(journal.discard)
        if review is self._session.review:
            self._tell(length_s, is_silent)
            self.kept.emit(walk.id)

    def throw_away(self) -> None:
        """End the recording and delete it."""
        journal = self._journal
        if journal is None:
            self._messages.say("No walkthrough is being recorded.")
            return
        self._let_go()
        journal.finish()
        journal.discard()
        self._messages.say("The walkthrough was discarded.")

    def toggle_curve(self) -> None:
        """Show the force curve under the picture of a walkthrough from now on, or put it away."""
        self.curve = not self.curve
        self._add(CurveShown(self.at_s, self.curve))
        self._messages.say(
            "The force curve stands under the walkthrough's picture from here on."
            if self.curve
            else "The walkthrough shows the picture alone from here on."
        )

    def look(self) -> None:
        """Note what stands in the picture's place, where that changed."""
        before, self._shown = self._shown, self._stage.shown()
        if self.is_on and self._shown != before:
            self._note_what_is_shown(
                self.at_s, is_other=(self._shown.what, self._shown.ref) != (before.what, before.ref)
            )

    def _begin(self) -> None:
        review = self._session.review
        if review is None or review.path is None:
            self._messages.warn(NO_REVIEW)
            return
        microphone: Microphone | None = None
        silent = ""
        try:
            microphone = self._use.microphones.open(self._settings.microphone, self)
        except NoMicrophone as error:
            silent = f"{str(error).split(';')[0]}; the walkthrough is recorded without a voice."
        title = f"Walkthrough {len(review.state.walkthroughs) + 1}"
        try:
            journal = Journal(review.path, title, microphone is not None)
        except OSError as error:
            if microphone is not None:
                microphone.close()
                microphone.deleteLater()
            reason = (error.strerror or "the system refused").lower()
            self._messages.warn(
                f"The walkthrough cannot be written beside {review.path.name} ({reason}); make "
                "room or free the folder, then press F9 again."
            )
            return
        self._review, self._journal, self._microphone = review, journal, microphone
        self._clock, self._peak = SampleClock(), False
        self._sound.hush(True)
        if microphone is not None:
            microphone.heard.connect(self._take)
            microphone.lost.connect(self._lose)
        self._note_the_start(review.state)
        self._timer.start()
        self.changed.emit(True)
        if silent:
            self._messages.warn(silent)

    def _note_the_start(self, state: ReviewState) -> None:
        self._zoom, self._shown = self._picture.zoom, self._stage.shown()
        self._add(_turned(0.0, state.turn))
        self._add(Zoomed(0.0, self._zoom.factor, self._zoom.x, self._zoom.y))
        self._add(CurveShown(0.0, self.curve))
        self._note_what_is_shown(0.0, is_other=True)
        for mark in state.marks:
            self._add(MarkDrawn(0.0, mark))
        self._add(Moved(0.0, self._playhead.time_s))
        self._ran()

    def _note_what_is_shown(self, at_s: float, is_other: bool) -> None:
        what, ref, look = self._shown.what, self._shown.ref, self._shown.look
        if is_other:
            self._add(Shown(at_s, what, ref))
        if look is not None:
            self._add(Laid(at_s, look))

    def _add(self, event: Event) -> None:
        journal = self._journal
        if journal is None:
            return
        had_problem = journal.problem is not None
        journal.add(event)
        if journal.problem is not None and not had_problem:
            self._warn_of_disk()

    def _moved(self, video_s: float) -> None:
        if self.is_on:
            self._add(Moved(self.at_s, video_s))

    def _wanted(self, video_s: float) -> None:
        """While time runs, see that it still runs along the line that was noted."""
        if not self.is_on or not self._playhead.is_playing:
            return
        at_s = self.at_s
        from_s, from_video_s, rate = self._line
        if abs(from_video_s + rate * (at_s - from_s) - video_s) > OFF_LINE_S * max(1.0, abs(rate)):
            self._run_from(at_s, video_s)

    def _ran(self) -> None:
        if self.is_on:
            self._run_from(self.at_s, self._playhead.running_s)

    def _run_from(self, at_s: float, video_s: float) -> None:
        playhead = self._playhead
        sense = -1.0 if playhead.is_backwards else 1.0
        rate = playhead.speed * sense if playhead.is_playing else 0.0
        self._line = (at_s, video_s, rate)
        self._add(Ran(at_s, video_s, rate))

    def _zoomed(self) -> None:
        zoom = self._picture.zoom
        if self.is_on and zoom != self._zoom:
            self._add(Zoomed(self.at_s, zoom.factor, zoom.x, zoom.y))
        self._zoom = zoom

    def _take_state(self, state: ReviewState, before: ReviewState) -> None:
        if not self.is_on or self._session.review is not self._review:
            return
        if state.turn != before.turn:
            self._add(_turned(self.at_s, state.turn))
        if state.marks is not before.marks:
            self._take_marks(state.marks, {mark.id: mark for mark in before.marks})

    def _take_marks(self, marks: tuple[Mark, ...], before: dict[str, Mark]) -> None:
        at_s = self.at_s
        for mark in marks:
            if before.pop(mark.id, None) != mark:
                self._add(MarkDrawn(at_s, mark))
        for gone in before:
            self._add(MarkGone(at_s, gone))

    def _take(self, pcm: bytes) -> None:
        journal = self._journal
        if journal is None or journal.sound is None:
            return
        had_problem = journal.sound.problem is not None
        journal.sound.add(pcm)
        self._clock.heard(journal.sound.length_s)
        level = level_of(pcm)
        self._peak = self._peak or level.peak_db > -90.0
        self.heard.emit(level, journal.sound.length_s)
        if journal.sound.problem is not None and not had_problem:
            self._warn_of_disk()

    def _tick(self) -> None:
        journal = self._journal
        if journal is None:
            return
        at_s = self.at_s
        journal.beat(at_s)
        if journal.sound is None:
            self.heard.emit(SILENT, at_s)
        if at_s >= LONGEST_S:
            self.stop()
            self._messages.warn("The walkthrough ended after half an hour; it was kept.")

    def _warn_of_disk(self) -> None:
        self._messages.warn(
            "The disk no longer takes the walkthrough; it is kept in memory, so end it now and "
            "make room."
        )

    def _lose(self, sentence: str) -> None:
        if self.is_on:
            self.stop()
            self._messages.warn(f"{sentence} The walkthrough ended there and was kept.")

    def _let_go(self) -> None:
        microphone, self._microphone = self._microphone, None
        if microphone is not None:
            microphone.close()  # the last samples still come
            microphone.deleteLater()
        self._timer.stop()
        self._journal = self._review = None
        self._sound.hush(False)
        self.changed.emit(False)

    def _tell(self, length_s: float, is_silent: bool) -> None:
        if not is_silent and not self._peak:
            self._messages.warn(
                "The microphone gave only silence; check that it is not muted. The walkthrough "
                "was kept."
            )
            return
        self._messages.say(
            f"Walkthrough of {length_s:.0f} s kept; F8 plays it, and it goes into the bundle."
        )


def _turned(at_s: float, turn: PictureTurn) -> Turned:
    return Turned(at_s, turn.quarter_turns, turn.mirrored, turn.lift)
