"""Everything about walkthroughs on the bench, put together."""

from __future__ import annotations

from collections.abc import Mapping

from PySide6.QtCore import QObject
from PySide6.QtGui import QAction
from PySide6.QtWidgets import QWidget

from app.review.parts.state import ReviewState
from app.window.actions.context import ActionContext
from app.window.features.walkthrough.walk_panel import WalkPanel
from app.window.features.walkthrough.walk_player import WalkPlayer
from app.window.features.walkthrough.walks import Walks
from app.window.features.walkthrough.walkthrough_recorder import WalkthroughRecorder
from app.window.session.modes import Mode, Modes
from app.window.session.playhead import Playhead
from app.window.session.review_session import ReviewSession
from app.window.session.settings import Settings
from app.window.sound.microphone_use import MicrophoneUse
from app.window.sound.recording_strip import SpeakingStrip
from app.window.sound.writing_down import WritingDown
from app.window.tasks.jobs import Jobs
from app.window.tasks.message_line import Messages
from app.window.views.picture import PictureView
from app.window.views.shown_marks import ShownMarks
from app.window.views.sound_player import SoundPlayer
from app.window.views.stage import Stage
from app.window.views.stroke_panel import StrokeView
from app.window.widgets.side_tabs import SideTabs


class Walkthroughs(QObject):
    """Recording, playing, changing and writing; and what is seen of them."""

    def __init__(self, context: ActionContext, parent: QObject | None = None) -> None:
        super().__init__(parent)
        c, session, messages = context, context[ReviewSession], context[Messages]
        self._session, self._messages = session, messages
        self._stage, self._microphone = c[Stage], c[MicrophoneUse]
        self._writing = c[WritingDown]
        self.walks = Walks(session, c[Jobs], messages, self)
        self.recorder = WalkthroughRecorder(
            c[Playhead], session, c[PictureView], c[Stage], c[SoundPlayer], self._microphone,
            messages, c[Settings], self,
        )  # fmt: skip
        self.player = WalkPlayer(
            self.walks, c[Playhead], session, c[PictureView], c[ShownMarks], c[Stage], messages,
            self,
        )  # fmt: skip
        self.recorder.kept.connect(self.walks.choose)
        c[StrokeView].stroke_changed.connect(lambda *_stroke: self.recorder.look())
        self._microphone.add_reason(self._why_nobody_speaks)
        c[Modes].add(
            Mode(
                "walkthrough",
                lambda: self.player.is_on,
                self.player.stop,
                "Playing the walkthrough",
            ),
            self.player.changed,
        )
        self.recorder.changed.connect(c[Modes].tell)
        session.opening.connect(self.close)
        session.state_changed.connect(self._count)

    def lay_out(self, tabs: SideTabs, actions: Mapping[str, QAction]) -> None:
        """Put the strip over the picture and the panel among the tabs."""
        self.strip = SpeakingStrip(self.recorder, self._stage, "Recording a walkthrough", "F9")
        self._stage.shown_changed.connect(self.strip.stay_on_top)
        self.panel = WalkPanel(
            self.walks, self.recorder, self.player, self._session, self._writing, dict(actions)
        )
        self._tabs = tabs
        self.player.tabs = tabs
        tabs.add(self.panel, "Walkthrough")

    def toggle_recording(self) -> None:
        """Begin to record a walkthrough, or end it and show it."""
        if not self.recorder.is_on:
            self.player.stop()
            self._microphone.hush()
        self.recorder.toggle()
        if not self.recorder.is_on and self.walks.selected is not None:
            self._come_forward(self.panel)

    def toggle_playing(self) -> None:
        """Play the selected walkthrough, or stop."""
        if self.recorder.is_on:
            self._messages.say("End the recording first: press F9.")
            return
        self._microphone.hush()
        if not self.player.is_on and self.walks.selected is not None:
            self._come_forward(self.panel)
        self.player.toggle()

    def begin_words(self) -> None:
        """Type a caption."""
        self.player.stop()
        self._come_forward(self.panel)
        self.walks.begin_words()

    def close(self) -> None:
        """Stop playing; what is being recorded is kept."""
        self.player.stop()
        self.recorder.stop()

    def _come_forward(self, panel: QWidget) -> None:
        self._tabs.setCurrentWidget(panel)

    def _why_nobody_speaks(self) -> str:
        if self.recorder.is_on:
            return "Your voice is in the walkthrough already; end it with F9 to speak a note."
        return ""

    def _count(self, state: ReviewState, before: ReviewState) -> None:
        self._tabs.count_in(self.panel, len(state.walkthroughs))
