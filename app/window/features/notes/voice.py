"""Everything about voices on the bench, put together."""

from __future__ import annotations

from PySide6.QtCore import QObject
from PySide6.QtWidgets import QWidget

from app.window.features.notes.notes_panel import Notes, NotesPanel
from app.window.features.notes.speaking import Speaking
from app.window.features.notes.voice_panel import VoiceRow
from app.window.features.notes.voice_player import VoicePlayer
from app.window.session.playhead import Playhead
from app.window.session.review_session import ReviewSession
from app.window.session.settings import Settings
from app.window.sound.microphone_dialog import MicrophoneDialog
from app.window.sound.microphone_use import MicrophoneUse
from app.window.sound.recording_strip import SpeakingStrip
from app.window.sound.words_view import SpokenWordsView
from app.window.sound.writing_down import WritingDown
from app.window.tasks.message_line import Messages
from app.window.views.sound_player import SoundPlayer
from app.window.views.stage import Stage


class Voice(QObject):
    """Speaking, hearing, and what is seen of both."""

    def __init__(
        self,
        playhead: Playhead,
        session: ReviewSession,
        notes: Notes,
        sound: SoundPlayer,
        microphone: MicrophoneUse,
        messages: Messages,
        settings: Settings,
        writing: WritingDown,
        parent: QObject | None = None,
    ) -> None:
        super().__init__(parent)
        self._session, self._notes = session, notes
        self._messages, self._settings, self.writing = messages, settings, writing
        self.speaking = Speaking(
            playhead, session, notes, sound, microphone, messages, settings, self
        )
        self.player = VoicePlayer(playhead, session, notes, messages, self)
        self.speaking.changed.connect(lambda on: self.player.stop() if on else None)
        self._microphone = microphone
        microphone.add_voice(self.close)
        # Another submission comes onto the bench: what is being said belongs to the one before.
        session.opening.connect(self.close)

    def lay_out(self, stage: Stage, panel: NotesPanel) -> None:
        """Put the strip over the picture and the row under the words of a note."""
        self.strip = SpeakingStrip(self.speaking, stage)
        stage.shown_changed.connect(self.strip.stay_on_top)
        self.row = VoiceRow(self.speaking, self.player, self._notes, self._session)
        # Under one another: what is put there later stands nearer to the words.
        self.words = SpokenWordsView(self._session, self.writing)
        self.words.jump_wanted.connect(self.player.play_from)
        panel.put_under_words(self.words)
        panel.put_under_words(self.row)
        self._notes.chosen.connect(lambda _id: self._show_words())
        self._session.state_changed.connect(lambda *_states: self._show_words())
        self._show_words()

    def _show_words(self) -> None:
        note = self._notes.selected
        self.words.show_sound("" if note is None or note.voice is None else note.voice.id)

    def choose_microphone(self, parent: QWidget) -> None:
        """Show the microphones there are."""
        if self.speaking.is_on:
            self._messages.say("End the recording first.")
            return
        MicrophoneDialog(self._microphone.microphones, self._settings, parent).show()

    def close(self) -> None:
        """Fall silent; what is being said is kept."""
        self.player.stop()
        self.speaking.stop()
