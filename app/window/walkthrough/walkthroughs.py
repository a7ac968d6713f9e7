"""Everything about walkthroughs on the bench, put together."""

from __future__ import annotations

from dataclasses import dataclass

from PySide6.QtCore import QObject
from PySide6.QtGui import QAction
from PySide6.QtWidgets import QStackedWidget, QTabWidget

from app.review.parts.comparisons import look_of
from app.review.state import ReviewState
from app.review.walk_events import COMPARISON, PICTURE, STRIP
from app.window.comparing.comparing import Comparing
from app.window.desk import Desk
from app.window.drawing.drawing import Drawing
from app.window.force.stroke_panel import StrokeView
from app.window.jobs import Jobs
from app.window.message_line import Messages
from app.window.notes.voice import Voice
from app.window.notes.voice_panel import SpeakingStrip
from app.window.picture.picture import PictureView
from app.window.picture.sound_player import SoundPlayer
from app.window.picture.strip_view import Strips
from app.window.playhead import Playhead
from app.window.settings import Settings
from app.window.walkthrough.walk_panel import WalkPanel
from app.window.walkthrough.walk_player import WalkPlayer
from app.window.walkthrough.walking import Walking, WhatIsShown
from app.window.walkthrough.walks import Walks

TAB = "Walkthrough"


@dataclass(frozen=True)
class WalkBench:
    """The parts of the bench that a walkthrough listens to and moves."""

    playhead: Playhead
    desk: Desk
    picture: PictureView
    drawing: Drawing
    strips: Strips
    comparing: Comparing
    view: StrokeView
    stage: QStackedWidget
    sound: SoundPlayer
    voice: Voice
    jobs: Jobs
    messages: Messages
    settings: Settings


class Walkthroughs(QObject):
    """Recording, playing, changing and writing; and what is seen of them."""

    def __init__(self, bench: WalkBench, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._bench = b = bench
        self.walks = Walks(b.desk, b.jobs, b.messages, self)
        self.walking = Walking(
            b.playhead, b.desk, b.picture, b.sound, lambda: b.voice.speaking.microphones,
            b.messages, b.settings, self,
        )  # fmt: skip
        self.player = WalkPlayer(
            self.walks,
            b.playhead,
            b.desk,
            b.picture,
            b.drawing,
            b.strips,
            b.comparing,
            b.messages,
            self,
        )
        self.walking.what_is_shown = self._what_is_shown
        self.walking.kept.connect(self.walks.choose)
        b.stage.currentChanged.connect(lambda _index: self.walking.look())
        b.view.stroke_changed.connect(lambda *_stroke: self.walking.look())
        b.comparing.shown.connect(lambda _id: self.walking.look())
        b.comparing.changed.connect(self.walking.look)
        self.player.show_pair = self._show_pair
        b.voice.speaking.busy = self._why_nobody_speaks
        b.desk.opening.connect(self.close)
        b.desk.state_changed.connect(self._name_tab)

    def lay_out(self, tabs: QTabWidget, actions: dict[str, QAction]) -> None:
        """Put the strip over the picture and the panel among the tabs."""
        self.strip = SpeakingStrip(
            self.walking, self._bench.stage, "Recording a walkthrough", ("F9", "Shift+F9")
        )
        self.panel = WalkPanel(self.walks, self.walking, self.player, self._bench.desk, actions)
        self._tabs = tabs
        tabs.addTab(self.panel, TAB)

    def toggle_recording(self) -> None:
        """Begin to record a walkthrough, or end it and show it."""
        if not self.walking.is_on:
            self.player.stop()
            self._bench.voice.close()
        self.walking.toggle()
        if not self.walking.is_on and self.walks.in_hand is not None:
            self._tabs.setCurrentWidget(self.panel)

    def toggle_playing(self) -> None:
        """Play the walkthrough in hand, or stop."""
        if self.walking.is_on:
            self._bench.messages.say("End the recording first: press F9.")
            return
        self._bench.voice.close()
        if not self.player.is_on and self.walks.in_hand is not None:
            self._tabs.setCurrentWidget(self.panel)
        self.player.toggle()

    def begin_words(self) -> None:
        """Type a caption."""
        self.player.stop()
        self._tabs.setCurrentWidget(self.panel)
        self.walks.begin_words()

    def close(self) -> None:
        """Stop playing; what is being recorded is kept."""
        self.player.stop()
        self.walking.stop()

    def _what_is_shown(self) -> WhatIsShown:
        stroke = self._bench.view.stroke
        if self._bench.strips.is_shown and stroke is not None:
            return STRIP, str(stroke.index), None
        comparison = self._bench.comparing.in_hand
        if comparison is not None:
            return COMPARISON, comparison.id, look_of(comparison)
        return PICTURE, "", None

    def _show_pair(self, comparison_id: str) -> None:
        """Put a comparison on screen while a walkthrough plays; its tab stays in front."""
        tab = self._tabs.currentWidget()
        self._bench.comparing.show(comparison_id)
        self._tabs.setCurrentWidget(tab)

    def _why_nobody_speaks(self) -> str:
        if self.walking.is_on:
            return "Your voice is in the walkthrough already; end it with F9 to speak a note."
        return ""

    def _name_tab(self, state: ReviewState, before: ReviewState) -> None:
        count = len(state.walkthroughs)
        place = self._tabs.indexOf(self.panel)
        self._tabs.setTabText(place, f"{TAB} {count}" if count else TAB)
