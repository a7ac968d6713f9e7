"""Hearing the voice of the selected note, and cutting off what should not be heard."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from PySide6.QtCore import QObject, QTimer, Signal

from app.review.parts.notes import Note, SetVoice
from app.review.values.errors import ReviewError
from app.review.voice import TrimVoice, heard, samples_of
from app.window.features.notes.notes_panel import Notes
from app.window.session.playhead import Playhead
from app.window.session.review_session import ReviewSession
from app.window.sound.speaker import Sounding, open_speaker
from app.window.tasks.message_line import Messages

TICK_MS = 40
NO_SPEAKER = "There is no loudspeaker to hear the voice with; switch one on in the system."
NO_VOICE = "Choose a note with a voice first."


class VoicePlayer(QObject):
    """Plays one voice at a time; the picture stands at its moment meanwhile."""

    moved = Signal(float)  # seconds into the recording; below 0 when nothing plays

    def __init__(
        self,
        playhead: Playhead,
        session: ReviewSession,
        notes: Notes,
        messages: Messages,
        parent: QObject | None = None,
    ) -> None:
        super().__init__(parent)
        self._playhead = playhead
        self._session = session
        self._notes = notes
        self._messages = messages
        self.open_speaker: Callable[[bytes, int, QObject], Sounding | None] = open_speaker
        self._sounding: Sounding | None = None
        self._note: Note | None = None
        self._from_s = 0.0  # of the recording, where the playing began
        self._timer = QTimer(self)
        self._timer.setInterval(TICK_MS)
        self._timer.timeout.connect(self._follow)
        notes.chosen.connect(lambda _id: self._stop_other())

    @property
    def is_on(self) -> bool:
        """Whether a voice is heard now."""
        return self._sounding is not None

    @property
    def at_s(self) -> float:
        """Seconds into the recording; below 0 when nothing plays."""
        if self._sounding is None or self._note is None or self._note.voice is None:
            return -1.0
        return self._from_s + self._sounding.heard_s()

    def toggle(self) -> None:
        """Hear the voice of the selected note at its moment, or fall silent."""
        if self.is_on:
            self.stop()
            return
        self.play_from(0.0)

    def play_from(self, at_s: float) -> None:
        """Hear the voice of the selected note from a second of its recording on."""
        self.stop()
        note, review = self._notes.selected, self._session.review
        if note is None or note.voice is None or review is None:
            self._messages.say(NO_VOICE)
            return
        try:
            from_s = max(at_s, note.voice.trim_start_s)
            from_s = from_s if from_s < note.voice.trim_end_s else note.voice.trim_start_s
            left = replace(note.voice, trim_start_s=from_s)
            pcm = heard(samples_of(review.sound(note.voice.id)), left).tobytes()
        except ReviewError as error:
            self._messages.warn(str(error))
            return
        self._playhead.pause()
        self._playhead.seek(note.video_s)
        self._sounding = self.open_speaker(pcm, note.voice.sample_hz, self)
        if self._sounding is None:
            self._messages.warn(NO_SPEAKER)
            return
        self._note, self._from_s = note, from_s
        self._timer.start()
        self.moved.emit(self.at_s)

    def stop(self) -> None:
        """Fall silent."""
        if self._sounding is None:
            return
        self._timer.stop()
        self._sounding.close()
        self._sounding = self._note = None
        self.moved.emit(-1.0)

    def trim_start(self) -> None:
        """Cut off what was heard until now."""
        self._trim(start=True)

    def trim_end(self) -> None:
        """Cut off what comes from now on."""
        self._trim(start=False)

    def untrim(self) -> None:
        """Hear the whole recording again."""
        note = self._spoken()
        if note is not None and note.voice is not None:
            self._session.do(TrimVoice(note.id, 0.0, note.voice.length_s))

    def remove(self) -> None:
        """Take the voice from its note; a note without words goes with it."""
        note = self._spoken()
        if note is None:
            return
        self.stop()
        if note.text.strip():
            self._session.do(SetVoice(note.id, None))
            self._messages.say("The voice was taken away; undo brings it back.")
        else:
            self._notes.delete()

    def drag(self, gesture: str, start_s: float | None, end_s: float | None) -> None:
        """Move an end of what is heard; one gesture is one step back."""
        note = self._spoken()
        if note is not None:
            self._session.do(TrimVoice(note.id, start_s, end_s, gesture))

    def _trim(self, start: bool) -> None:
        note, at_s = self._spoken(), self.at_s
        if note is None:
            return
        if at_s < 0:
            self._messages.say("Play the voice and press where it should be cut.")
            return
        self.stop()
        self._session.do(
            TrimVoice(note.id, start_s=at_s) if start else TrimVoice(note.id, end_s=at_s)
        )

    def _spoken(self) -> Note | None:
        note = self._notes.selected
        if note is None or note.voice is None:
            self._messages.say(NO_VOICE)
            return None
        return note

    def _follow(self) -> None:
        note = self._note
        if note is None or note.voice is None or self.at_s >= note.voice.trim_end_s:
            self.stop()
        else:
            self.moved.emit(self.at_s)

    def _stop_other(self) -> None:
        note = self._notes.selected
        if self._note is not None and (note is None or note.id != self._note.id):
            self.stop()
