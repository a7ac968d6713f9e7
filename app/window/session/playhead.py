"""The one owner of time. Everything that moves with it listens to it and asks nobody else."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from PySide6.QtCore import QElapsedTimer, QObject, Qt, QTimer, Signal

if TYPE_CHECKING:
    from app.media.index import FrameIndex

SPEEDS = (0.1, 0.25, 0.5, 1.0, 1.5, 2.0)
INSIDE_S = 1e-4  # far enough before a moment to mean the frame before it
TICK_MS = 8  # twice a 60 Hz screen, so that no frame waits a whole refresh for its turn


@dataclass(frozen=True)
class Span:
    """A stretch of video time, in seconds."""

    start_s: float
    end_s: float


class Playhead(QObject):
    """Where the review stands, in video seconds.

    Moving happens in two steps. `wanted` says where to go; whoever supplies the picture answers
    with `arrive`; only then `moved` tells everybody. So picture, trace cursor and curve cursor
    show the same instant even while a frame is still being decoded.
    """

    wanted = Signal(float)
    moved = Signal(float)
    playing_changed = Signal(bool)
    speed_changed = Signal(float)
    loop_changed = Signal(object)  # Span or None

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._time_s = 0.0
        self._wanted_s = 0.0
        self._range = Span(0.0, 0.0)
        self._index: FrameIndex | None = None
        self._speed = 1.0
        self._sense = 1  # 1 forwards, -1 backwards
        self._loop: Span | None = None
        self._anchor_s = 0.0
        self._clock = QElapsedTimer()
        self._supplied = False
        self._timer = QTimer(self)
        self._timer.setTimerType(Qt.TimerType.PreciseTimer)
        self._timer.setInterval(TICK_MS)
        self._timer.timeout.connect(self._tick)

    @property
    def time_s(self) -> float:
        """Video seconds now shown."""
        return self._time_s

    @property
    def wanted_s(self) -> float:
        """Video seconds last asked for; differs from `time_s` while a frame is on its way."""
        return self._wanted_s

    @property
    def moment_s(self) -> float:
        """The moment the coach means: while time runs the one on screen, at rest the one asked for.

        At rest its frame may still be decoding; a note or a mark must not land on the frame before.
        """
        return self._time_s if self.is_playing else self._wanted_s

    @property
    def running_s(self) -> float:
        """Video seconds at this instant, between frames too; what sound follows."""
        if not self.is_playing:
            return self._wanted_s
        return self._anchor_s + self._clock.nsecsElapsed() * 1e-9 * self._speed * self._sense

    @property
    def range(self) -> Span:
        """First and last second there is anything to see at."""
        return self._range

    @property
    def speed(self) -> float:
        """Playback speed; 1 is real time."""
        return self._speed

    @property
    def loop(self) -> Span | None:
        """The stretch being looped, or None."""
        return self._loop

    @property
    def is_playing(self) -> bool:
        """Whether time runs."""
        return self._timer.isActive()

    @property
    def is_backwards(self) -> bool:
        """Whether time runs, and backwards."""
        return self.is_playing and self._sense < 0

    def set_recordings(self, span: Span, index: FrameIndex | None) -> None:
        """Take on new recordings: the span of time it covers and its frames, if it has any."""
        self.pause()
        self._index = index
        self._range = span
        self.set_loop(None)
        start = 0.0 if span.start_s <= 0.0 <= span.end_s else span.start_s
        self.seek(start)

    def set_range(self, span: Span) -> None:
        """Change the span of time without moving (the line-up changed)."""
        self._range = span

    def set_supplied(self, supplied: bool) -> None:
        """Say whether somebody answers `wanted` with `arrive`; if not, moves are immediate."""
        self._supplied = supplied

    def seek(self, time_s: float) -> None:
        """Go to a time; playing goes on from there."""
        self._ask(self._clamped(time_s))
        self._restart_clock()

    def step(self, frames: int) -> None:
        """Pause and go some frames on or back, exactly."""
        self.pause()
        if self._index is None:
            self._ask(self._clamped(self._wanted_s + frames / 30.0))
            return
        times = self._index.time_s
        before_first = self._wanted_s < self._index.start_s
        now = -1 if before_first else self._index.at(self._wanted_s)
        target = min(max(now + frames, 0), len(times) - 1)
        self._ask(float(times[target]))

    def play(self) -> None:
        """Let time run; at the very end, from the start again."""
        stretch = self._stretch()
        if self._wanted_s >= stretch.end_s - 1e-6:
            self._ask(stretch.start_s)
        self._run(1)

    def reverse(self) -> None:
        """Let time run backwards; at the very start, from the end; again: stop."""
        if self.is_backwards:
            self.pause()
            return
        stretch = self._stretch()
        if self._wanted_s <= stretch.start_s + 1e-6:
            self._ask(self._last_of(stretch))
        self._run(-1)

    def pause(self) -> None:
        """Stop on the frame now shown."""
        if self._timer.isActive():
            self._timer.stop()
            self.playing_changed.emit(False)

    def toggle(self) -> None:
        """Play or pause."""
        if self.is_playing:
            self.pause()
        else:
            self.play()

    def set_speed(self, speed: float) -> None:
        """Set the speed; time does not jump."""
        self._speed = speed
        self._restart_clock()
        self.speed_changed.emit(speed)

    def change_speed(self, direction: int) -> None:
        """Go one speed up or down the list."""
        nearest = min(range(len(SPEEDS)), key=lambda i: abs(SPEEDS[i] - self._speed))
        self.set_speed(SPEEDS[min(max(nearest + direction, 0), len(SPEEDS) - 1)])

    def set_loop(self, span: Span | None) -> None:
        """Loop a stretch, or stop looping."""
        self._loop = span
        if span is not None and not span.start_s <= self._wanted_s < span.end_s:
            self.seek(span.start_s)
        self.loop_changed.emit(span)

    def arrive(self, time_s: float) -> None:
        """Answer to `wanted`: the picture of this moment is at hand."""
        self._time_s = time_s
        self.moved.emit(time_s)

    def _ask(self, time_s: float) -> None:
        self._wanted_s = time_s
        self.wanted.emit(time_s)
        if not self._supplied:
            self.arrive(time_s)

    def _clamped(self, time_s: float) -> float:
        return min(max(time_s, self._range.start_s), self._range.end_s)

    def _run(self, sense: int) -> None:
        self._sense = sense
        self._restart_clock()
        self._timer.start()
        self.playing_changed.emit(True)

    def _restart_clock(self) -> None:
        self._anchor_s = self._wanted_s
        self._clock.start()

    def _stretch(self) -> Span:
        """What is played: the loop, or all there is."""
        return self._loop or self._range

    def _last_of(self, stretch: Span) -> float:
        """The last moment of a stretch; a loop's end belongs to what follows it."""
        return stretch.end_s if self._loop is None else stretch.end_s - INSIDE_S

    def _tick(self) -> None:
        time_s = self.running_s
        if self._sense > 0:
            self._tick_forwards(time_s)
        else:
            self._tick_backwards(time_s)

    def _tick_forwards(self, time_s: float) -> None:
        if self._loop is not None and time_s >= self._loop.end_s:
            self._ask(self._loop.start_s)
            self._restart_clock()
        elif time_s >= self._range.end_s:
            self._ask(self._range.end_s)
            self.pause()
        elif self._is_new_frame(time_s):
            self._ask(time_s)

    def _tick_backwards(self, time_s: float) -> None:
        if self._loop is not None and time_s < self._loop.start_s:
            self._ask(self._last_of(self._loop))
            self._restart_clock()
        elif time_s <= self._range.start_s:
            self._ask(self._range.start_s)
            self.pause()
        elif self._is_new_frame(time_s):
            self._ask(time_s)

    def _is_new_frame(self, time_s: float) -> bool:
        """Whether this tick shows something else; asking for the same frame twice is waste."""
        if self._index is None or not self._index.holds(time_s):
            return True
        if not self._index.holds(self._wanted_s):
            return True
        return self._index.at(time_s) != self._index.at(self._wanted_s)
