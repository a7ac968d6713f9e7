"""Notes, typed and spoken."""

from __future__ import annotations

from typing import Final

from app.review.parts.state import ReviewState
from app.window.actions.context import ActionContext
from app.window.actions.feature import Feature, Places
from app.window.features.notes.actions import ACTIONS
from app.window.features.notes.actions_voice import VOICE
from app.window.features.notes.notes import Notes
from app.window.features.notes.notes_panel import NotesPanel
from app.window.features.notes.voice import Voice
from app.window.session.modes import Modes
from app.window.session.playhead import Playhead
from app.window.session.review_session import ReviewSession
from app.window.session.selection import Selection
from app.window.session.settings import Settings
from app.window.sound.microphone_use import MicrophoneUse
from app.window.sound.writing_down import WritingDown
from app.window.tasks.message_line import Messages
from app.window.views.sound_player import SoundPlayer
from app.window.views.transport import Transport

# What the right button offers on a note, as far as it is there.
IN_MENU: Final = ("play_voice", "keep_explanation", "delete_note")


class NotesFeature(Feature):
    """The list of notes, the words of one, and its voice."""

    actions = (*ACTIONS, *VOICE)

    def __init__(self, context: ActionContext) -> None:
        super().__init__(context)
        c, session, messages = context, context[ReviewSession], context[Messages]
        selection = c[Selection]
        self.notes = Notes(c[Playhead], session, c[Transport], selection, messages, self)
        self.voice = Voice(
            c[Playhead], session, self.notes, c[SoundPlayer], c[MicrophoneUse], messages,
            c[Settings], c[WritingDown], self,
        )  # fmt: skip
        self.voice.speaking.changed.connect(c[Modes].tell)
        context.offer(self.notes, self.voice)

    def lay_out(self, places: Places) -> None:
        """A tab that comes forward with what is wanted, and the strip while one speaks."""
        session, tabs = self.context[ReviewSession], places.tabs
        self.panel = panel = NotesPanel(self.notes, session)
        tabs.add(panel, "Notes")
        panel.offer([places.actions[name] for name in IN_MENU if name in places.actions])
        self.voice.lay_out(places.stage, panel)
        selection = self.context[Selection]
        selection.writing_wanted.connect(lambda _id: tabs.setCurrentWidget(panel))
        selection.note_wanted.connect(lambda _id: tabs.setCurrentWidget(panel))
        self.notes.look_wanted.connect(lambda: tabs.setCurrentWidget(panel))

        def count(state: ReviewState, _before: ReviewState) -> None:
            tabs.count_in(panel, len(state.notes))

        session.state_changed.connect(count)

    def pause(self) -> None:
        """End what is being said; it is kept."""
        self.voice.close()
