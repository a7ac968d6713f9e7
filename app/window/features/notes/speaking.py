"""Speaking a note: one key, held or pressed twice; every sample is on the disk as it is spoken."""

from __future__ import annotations

import uuid

from PySide6.QtCore import QCoreApplication, QEvent, QObject, Qt, Signal
from PySide6.QtGui import QKeyEvent

from app.review.parts.change import Change
from app.review.parts.notes import AddVoiceNote, SetVoice, Voice, new_note
from app.review.recording import Place, Recording
from app.review.review import Review
from app.review.voice import SHORTEST_S, voice_of
from app.window.features.notes.notes_panel import Notes
from app.window.session.playhead import Playhead
from app.window.session.review_session import ReviewSession
from app.window.session.settings import Settings
from app.window.sound.level_meter import level_of
from app.window.sound.microphone import Microphone, NoMicrophone
from app.window.sound.microphone_use import MicrophoneUse
from app.window.tasks.message_line import Messages
from app.window.views.sound_player import SoundPlayer
from app.window.widgets.clock_text import clock_text

KEY = Qt.Key.Key_O
# A key held while this much is spoken ends with its release; a shorter press ends with the next.
HELD_S = 0.5
LONGEST_S = 600.0
SAME_MOMENT_S = 0.001
SHORT = "That was too short for a voice note; hold O while you speak, or press it before and after."


class Speaking(QObject):
    """Records one voice at a time and makes it a note, or the voice of a note."""

    changed = Signal(bool)  # whether somebody is being recorded
    heard = Signal(object, float)  # Level, seconds so far

    def __init__(
        self,
        playhead: Playhead,
        session: ReviewSession,
        notes: Notes,
        sound: SoundPlayer,
        use: MicrophoneUse,
        messages: Messages,
        settings: Settings,
        parent: QObject | None = None,
    ) -> None:
        super().__init__(parent)
        self._playhead = playhead
        self._session = session
        self._notes = notes
        self._sound = sound
        self._messages = messages
        self._settings = settings
        self._use = use
        self._microphone: Microphone | None = None
        self._recording: Recording | None = None
        self._review: Review | None = None
        self._peak = False

    @property
    def is_on(self) -> bool:
        """Whether somebody is being recorded."""
        return self._recording is not None

    @property
    def hears(self) -> bool:
        """Whether a microphone is open."""
        return self._microphone is not None

    @property
    def microphone_name(self) -> str:
        """What is recorded with."""
        return self._microphone.name if self._microphone is not None else ""

    def toggle(self) -> None:
        """Begin to record at this moment, or end it."""
        if self.is_on:
            self.stop()
            return
        moment_s = self._playhead.moment_s
        note = self._notes.selected
        here = note is not None and abs(note.video_s - moment_s) < SAME_MOMENT_S
        if note is not None and here and note.voice is None:
            self._begin(Place(note.video_s, note.phase, note.id))  # typed first, spoken to now
        else:
            self._begin(Place(moment_s, self._notes.phase_at(moment_s)))

    def record_anew(self) -> None:
        """Record the voice of the selected note again; the old one stays until this one is done."""
        note = self._notes.selected
        if self.is_on:
            self.stop()
        elif note is None:
            self._messages.say("Choose a note first.")
        else:
            self._begin(Place(note.video_s, note.phase, note.id))

    def stop(self) -> None:
        """End the recording and keep it."""
        review, recording = self._review, self._recording
        if review is None or recording is None:
            return
        self._let_go()
        wav = recording.finish()
        if recording.length_s < SHORTEST_S:
            recording.discard()
            self._messages.say(SHORT)
            return
        voice = voice_of(recording.id, recording.pcm)
        review.keep_sound(voice.id, wav)
        note_id = self._keep(review, recording.place, voice)
        review.when_saved(recording.discard)
        if review is self._session.review:
            self._notes.choose(note_id)
            self._notes.show()
            self._tell(recording)

    def throw_away(self) -> None:
        """End the recording and delete it."""
        recording = self._recording
        if recording is None:
            self._messages.say("Nobody is being recorded.")
            return
        self._let_go()
        recording.finish()
        recording.discard()
        self._messages.say("The recording was discarded.")

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Letting go of a key that was held ends the recording."""
        if (
            event.type() == QEvent.Type.KeyRelease
            and isinstance(event, QKeyEvent)
            and event.key() == KEY
            and not event.isAutoRepeat()
        ):
            self._watch_key(False)
            if self._recording is not None and self._recording.length_s >= HELD_S:
                self.stop()
        return False

    def _begin(self, place: Place) -> None:
        review = self._session.review
        if why := self._use.why_not():
            self._messages.say(why)
            return
        if review is None or review.path is None:
            self._messages.warn("Open footage or force first; a note needs a moment to stand at.")
            return
        try:
            recording = Recording(review.path, place)
        except OSError as error:
            reason = (error.strerror or "the system refused").lower()
            self._messages.warn(
                f"The voice cannot be written beside {review.path.name} ({reason}); make room or "
                "free the folder, then press O again."
            )
            return
        try:
            microphone = self._use.microphones.open(self._settings.microphone, self)
        except NoMicrophone as error:
            recording.finish()
            recording.discard()
            self._messages.warn(str(error))
            return
        self._review, self._recording, self._microphone = review, recording, microphone
        self._peak = False
        self._sound.hush(True)
        microphone.heard.connect(self._take)
        microphone.lost.connect(self._lose)
        self._watch_key(True)
        self.changed.emit(True)

    def _take(self, pcm: bytes) -> None:
        recording = self._recording
        if recording is None:
            return
        had_problem = recording.problem is not None
        recording.add(pcm)
        level = level_of(pcm)
        self._peak = self._peak or level.peak_db > -90.0
        self.heard.emit(level, recording.length_s)
        if recording.problem is not None and not had_problem:
            self._messages.warn(
                "The disk no longer takes what you say; it is kept in memory, so end the note now "
                "and make room."
            )
        if recording.length_s >= LONGEST_S and self._microphone is not None:
            self.stop()
            self._messages.warn("The voice note ended at ten minutes; it was kept.")

    def _lose(self, sentence: str) -> None:
        if self._recording is None:
            return
        kept = self._recording.length_s >= SHORTEST_S
        self.stop()
        self._messages.warn(f"{sentence} What was spoken before is kept." if kept else sentence)

    def _let_go(self) -> None:
        microphone, self._microphone = self._microphone, None
        if microphone is not None:
            microphone.close()  # the last samples still come
            microphone.deleteLater()
        self._watch_key(False)
        self._microphone = self._recording = self._review = None
        self._sound.hush(False)
        self.changed.emit(False)

    def _keep(self, review: Review, place: Place, voice: Voice) -> str:
        note_id = place.note_id
        if any(n.id == note_id for n in review.state.notes):
            change: Change = SetVoice(note_id, voice)
        else:
            note = new_note(
                place.video_s,
                phase=place.phase,
                voice=voice,
                on_force=self._notes.is_on_force(place.video_s),
            )
            note_id, change = note.id, AddVoiceNote(note)
        if review is self._session.review:
            self._session.do(change)
        else:
            review.do(change)
        return note_id

    def _tell(self, recording: Recording) -> None:
        if not self._peak:
            self._messages.warn(
                "The microphone gave only silence; check that it is not muted. The note was kept."
            )
            return
        self._messages.say(
            f"Voice note of {recording.length_s:.0f} s at {clock_text(recording.place.video_s)}; "
            "type its words if you like, undo takes it back."
        )

    def _watch_key(self, on: bool) -> None:
        app = QCoreApplication.instance()
        if app is None:
            return
        if on:
            app.installEventFilter(self)
        else:
            app.removeEventFilter(self)


def new_gesture() -> str:
    """Return a word of its own for one drag."""
    return uuid.uuid4().hex
