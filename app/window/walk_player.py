"""Playing a walkthrough back in place: its voice moves the playhead, the picture and the marks."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QElapsedTimer, QObject, Qt, QTimer, Signal

from app.review.errors import ReviewError
from app.review.walkthrough import PICTURE, STRIP, Timing, Walkthrough, timing_of
from app.review.walkthrough_scene import Scenes, View
from app.window.desk import Desk
from app.window.drawing import Drawing
from app.window.message_line import Messages
from app.window.picture import PictureView
from app.window.playhead import Playhead
from app.window.strip_view import Strips
from app.window.voice_player import Sounding, open_speaker
from app.window.walks import NONE, Walks
from app.window.zoom import FIT, Zoom

TICK_MS = 10
NO_SPEAKER = "There is no loudspeaker, so the walkthrough plays without its voice."


class WalkPlayer(QObject):
    """Shows the bench as it was; afterwards it stands as before."""

    changed = Signal(bool)  # whether it plays

    def __init__(
        self,
        walks: Walks,
        playhead: Playhead,
        desk: Desk,
        picture: PictureView,
        drawing: Drawing,
        strips: Strips,
        messages: Messages,
        parent: QObject | None = None,
    ) -> None:
        super().__init__(parent)
        self._walks, self._playhead, self._desk = walks, playhead, desk
        self._picture, self._drawing, self._strips = picture, drawing, strips
        self._messages = messages
        self.open_speaker: Callable[[bytes, int, QObject], Sounding | None] = open_speaker
        self._sounding: Sounding | None = None
        self._walk: Walkthrough | None = None
        self._timing = Timing(0.0, ())
        self._scenes: Scenes | None = None
        self._view: View | None = None
        self._from_s = 0.0
        self._clock = QElapsedTimer()
        self._before: tuple[Zoom, bool, float] | None = None
        self._timer = QTimer(self)
        self._timer.setTimerType(Qt.TimerType.PreciseTimer)
        self._timer.setInterval(TICK_MS)
        self._timer.timeout.connect(self._tick)
        walks.chosen.connect(self._stop_other)
        playhead.playing_changed.connect(lambda on: self.stop() if on else None)
        desk.opening.connect(self.stop)

    @property
    def is_on(self) -> bool:
        """Whether a walkthrough is playing."""
        return self._walk is not None

    def toggle(self) -> None:
        """Play from where it stands (from the start, at its end), or stop there."""
        if self.is_on:
            self.stop()
            return
        walk = self._walks.in_hand
        if walk is None:
            self._messages.say(NONE)
            return
        self._playhead.pause()
        timing = timing_of(walk)
        from_s = timing.to_output(self._walks.at_s)
        if from_s > timing.length_s - 0.1:
            from_s = 0.0
        self._scenes = Scenes(walk, self._desk.state.marks)
        self._walk, self._timing, self._from_s, self._view = walk, timing, from_s, None
        self._before = (self._picture.zoom, self._strips.is_shown, self._playhead.wanted_s)
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
        self._drawing.show_instead(None)
        self._picture.set_turn(self._desk.state.turn)
        if self._before is not None:
            zoom, strip_shown, _moment = self._before
            self._picture.show_zoom(zoom)
            if self._strips.is_shown != strip_shown:
                self._strips.toggle()
        self.changed.emit(False)

    def _speak(self, walk: Walkthrough, from_s: float) -> Sounding | None:
        review = self._desk.review
        if not walk.sound_id or review is None:
            return None
        from app.bundle.walkthrough_sound import cut_samples

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
            self._drawing.show_instead(view.marks)
        if before is None or view.what != before.what:
            wants_strip = view.what == STRIP
            if wants_strip != self._strips.is_shown and view.what in (PICTURE, STRIP):
                self._strips.toggle()
        if not self._is_there(video_s):
            self._playhead.seek(video_s)

    def _is_there(self, video_s: float) -> bool:
        """Whether that moment's frame is asked for already; asking again is waste."""
        footage = self._desk.material.footage
        wanted_s = self._playhead.wanted_s
        if footage is None or not (0.0 <= video_s < footage.index.end_s and wanted_s >= 0.0):
            return abs(wanted_s - video_s) < 1e-3
        if wanted_s >= footage.index.end_s:
            return False
        return footage.index.at(video_s) == footage.index.at(wanted_s)

    def _stop_other(self) -> None:
        walk = self._walks.in_hand
        if self._walk is not None and (walk is None or walk != self._walk):
            self.stop()
