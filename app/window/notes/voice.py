"""Everything about voices on the bench, put together."""

from __future__ import annotations

from PySide6.QtCore import QObject
from PySide6.QtWidgets import QWidget

from app.window.desk import Desk
from app.window.message_line import Messages
from app.window.notes.microphone_dialog import MicrophoneDialog
from app.window.notes.notes_panel import Notes, NotesPanel
from app.window.notes.speaking import Speaking
from app.window.notes.voice_panel import SpeakingStrip, VoiceRow
from app.window.notes.voice_player import VoicePlayer
from app.window.picture.sound_player import SoundPlayer
from app.window.playhead import Playhead
from app.window.settings import Settings


class Voice(QObject):
    """Speaking, hearing, and what is seen of both."""

    def __init__(
        self,
        playhead: Playhead,
        desk: Desk,
        notes: Notes,
        sound: SoundPlayer,
        messages: Messages,
        settings: Settings,
        parent: QObject | None = None,
    ) -> None:
        super().__init__(parent)
        self._desk, self._notes = desk, notes
        self._messages, self._settings = messages, settings
        self.speaking = Speaking(playhead, desk, notes, sound, messages, settings, self)
        self.player = VoicePlayer(playhead, desk, notes, messages, self)
        self.speaking.changed.connect(lambda on: self.player.stop() if on else None)
        # Another submission comes onto the bench: what is being said belongs to the one before.
        desk.opening.connect(self.close)

    def lay_out(self, stage: QWidget, panel: NotesPanel) -> None:
        """Put the strip over the picture and the row under the words of a note."""
        self.strip = SpeakingStrip(self.speaking, stage)
        self.row = VoiceRow(self.speaking, self.player, self._notes, self._desk)
        panel.put_under_words(self.row)

    def choose_microphone(self, parent: QWidget) -> None:
        """Show the microphones there are."""
        if self.speaking.is_on:
            self._messages.say("End the recording first.")
            return
        MicrophoneDialog(self.speaking.microphones, self._settings, parent).show()

    def close(self) -> None:
        """Fall silent; what is being said is kept."""
        self.player.stop()
        self.speaking.stop()
