"""Playing a walkthrough back in place: its voice moves the playhead, the picture and the marks."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from PySide6.QtCore import QElapsedTimer, QObject, Qt, QTimer, Signal

from app.review.parts.walk_events import COMPARISON, STRIP
from app.review.parts.walk_timing import Timing, timing_of
from app.review.parts.walkthroughs import Walkthrough
from app.review.values.errors import ReviewError
from app.review.walkthrough_scene import Scenes, View
from app.window.features.walkthrough.walks import NONE, Walks
from app.window.session.playhead import Playhead, Span
from app.window.session.review_session import ReviewSession
from app.window.sound.speaker import Sounding, open_speaker
from app.window.tasks.message_line import Messages
from app.window.views.picture import PictureView
from app.window.views.shown_marks import ShownMarks
from app.window.views.stage import Stage
from app.window.views.zoom import FIT, Zoom
from app.window.widgets.side_tabs import SideTabs

TICK_MS = 10
NO_SPEAKER = "There is no loudspeaker, so the walkthrough plays without its voice."
LOST = "The comparison shown here was taken away since; the picture stands alone."


@dataclass(frozen=True)
class _Bench:
    """What stood on the bench before a walkthrough was played."""

    zoom: Zoom
    strip: bool
    comparison_id: str
    loop: Span | None


class WalkPlayer(QObject):
    """Shows the bench as it was; afterwards it stands as before."""

    changed = Signal(bool)  # whether it plays

    def __init__(
        self,
        walks: Walks,
        playhead: Playhead,
        session: ReviewSession,
        picture: PictureView,
        marks: ShownMarks,
        stage: Stage,
        messages: Messages,
        parent: QObject | None = None,
    ) -> None:
        super().__init__(parent)
        self._walks, self._playhead, self._session = walks, playhead, session
        self._picture, self._marks, self._stage = picture, marks, stage
        self._messages = messages
        self.tabs: SideTabs | None = None  # the tab in front stays there while it plays
        self.open_speaker: Callable[[bytes, int, QObject], Sounding | None] = open_speaker
        self._sounding: Sounding | None = None
        self._walk: Walkthrough | None = None
        self._timing = Timing(0.0, ())
        self._scenes: Scenes | None = None
        self._view: View | None = None
        self._from_s = 0.0
        self._clock = QElapsedTimer()
        self._lost = ""
        self._before: _Bench | None = None
        self._timer = QTimer(self)
        self._timer.setTimerType(Qt.TimerType.PreciseTimer)
        self._timer.setInterval(TICK_MS)
        self._timer.timeout.connect(self._tick)
        walks.chosen.connect(self._stop_other)
        playhead.playing_changed.connect(lambda on: self.stop() if on else None)
        session.opening.connect(self.stop)

    @property
    def is_on(self) -> bool:
        """Whether a walkthrough is playing."""
        return self._walk is not None

    def toggle(self) -> None:
        """Play from where it stands (from the start, at its end), or stop there."""
        if self.is_on:
            self.stop()
            return
        walk = self._walks.selected
        if walk is None:
            self._messages.say(NONE)
            return
        self._playhead.pause()
        timing = timing_of(walk)
        from_s = timing.to_output(self._walks.at_s)
        if from_s > timing.length_s - 0.1:
            from_s = 0.0
        self._scenes = Scenes(walk, self._session.state.marks)
        self._walk, self._timing, self._from_s, self._view = walk, timing, from_s, None
        self._before = _Bench(
            self._picture.zoom,
            bool(self._stage.ref_of(STRIP)),
            self._stage.ref_of(COMPARISON),
            self._playhead.loop,
        )
        self._lost = ""
        self._sounding = self._speak(walk, from_s)
        self._clock.start()
        self._timer.start()
        self.changed.emit(True)
        self._tick()

    def stop(self) -> None:
        """Stop, and let the bench stand as it did; the playhead stays at what was shown."""
        if self._walk is None:
            return
        self._timer.stop()
        if self._sounding is not None:
            self._sounding.close()
        self._walk = self._sounding = self._scenes = self._view = None
        self._marks.show_instead(None)
        self._stage.lay_instead(None)
        self._picture.set_turn(self._session.state.turn)
        before, self._before = self._before, None
        if before is not None:
            at_s = self._playhead.wanted_s
            self._picture.show_zoom(before.zoom)
            self._lay(COMPARISON, before.comparison_id)
            if before.strip:
                self._lay(STRIP, "")
            if self._playhead.loop != before.loop:
                self._playhead.set_loop(before.loop)
            if self._playhead.wanted_s != at_s:
                self._playhead.seek(at_s)
        self.changed.emit(False)

    def _speak(self, walk: Walkthrough, from_s: float) -> Sounding | None:
        review = self._session.review
        if not walk.sound_id or review is None:
            return None
        from app.bundle.walkthrough.walkthrough_sound import cut_samples

        try:
            samples = cut_samples(review.sound(walk.sound_id), walk, self._timing)
        except ReviewError as error:
            self._messages.warn(str(error))
            return None
        left = samples[round(from_s * walk.sample_hz) :]
        pcm = (left * 32767).round().astype("<i2").tobytes()
        sounding = self.open_speaker(pcm, walk.sample_hz, self)
        if sounding is None:
            self._messages.say(NO_SPEAKER)
        return sounding

    def _tick(self) -> None:
        scenes = self._scenes
        if scenes is None:
            return
        sounding = self._sounding
        passed_s = self._clock.elapsed() / 1000 if sounding is None else sounding.heard_s()
        out_s = self._from_s + passed_s
        if out_s >= self._timing.length_s:
            self._walks.go(self._walk.length_s if self._walk else 0.0)
            self.stop()
            return
        at_s = self._timing.to_recording(out_s)
        self._show(scenes.view(at_s), scenes.video_s(at_s))
        self._walks.go(at_s)

    def _show(self, view: View, video_s: float) -> None:
        before, self._view = self._view, view
        if before is None or view.turn != before.turn:
            self._picture.set_turn(view.turn)
        if before is None or view.zoom != before.zoom:
            factor, x, y = view.zoom
            self._picture.show_zoom(Zoom(factor, x, y) if factor > 1.0 else FIT)
        if before is None or view.marks != before.marks:
            self._marks.show_instead(view.marks)
        if before is None or (view.what, view.ref) != (before.what, before.ref):
            self._lay(view.what, view.ref)
        if before is None or view.look != before.look:
            self._stage.lay_instead(view.look)
        if not self._is_there(video_s):
            self._playhead.seek(video_s)

    def _lay(self, what: str, ref: str) -> None:
        """Put the strip, a comparison or the picture alone where the picture stands."""
        wanted = ref if what == COMPARISON else ""
        stage = self._stage
        if what != STRIP and wanted != stage.ref_of(COMPARISON):
            self._show_pair(wanted)
        if (what == STRIP) != bool(stage.ref_of(STRIP)):
            stage.put(STRIP, "here" if what == STRIP else "")
        is_lost = wanted and not stage.ref_of(COMPARISON)
        if is_lost and wanted != self._lost:
            self._lost = wanted
            self._messages.say(LOST)

    def _show_pair(self, comparison_id: str) -> None:
        """Put a comparison on screen; the tab in front stays there."""
        tab = self.tabs.currentWidget() if self.tabs is not None else None
        self._stage.put(COMPARISON, comparison_id)
        if self.tabs is not None and tab is not None:
            self.tabs.setCurrentWidget(tab)

    def _is_there(self, video_s: float) -> bool:
        """Whether that moment's frame is asked for already; asking again is waste."""
        footage = self._session.footage
        wanted_s = self._playhead.wanted_s
        if footage is None or not footage.index.holds(video_s):
            return abs(wanted_s - video_s) < 1e-3
        if wanted_s >= footage.index.end_s:
            return False
        return footage.index.at(video_s) == footage.index.at(wanted_s)

    def _stop_other(self) -> None:
        walk = self._walks.selected
        if self._walk is not None and (walk is None or walk != self._walk):
            self.stop()
