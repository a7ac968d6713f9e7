"""The footage's own sound while it plays at its own speed, in step with the picture."""

from __future__ import annotations

import numpy as np
from PySide6.QtCore import QIODevice, QObject, Qt, QTimer

from app.media.sound_feed import RATE_HZ, SoundFeed
from app.window.session.footage import Footage
from app.window.session.playhead import Playhead
from app.window.views.ending_decoders import Leaving

# Written ahead of the ear. Long enough for a busy window, short enough to follow a jump.
BUFFER_S = 0.08
PUSH_MS = 8
# Sound farther than this from the picture is moved; below, the ear does not tell.
SLIP_S = 0.02
BYTES = 2


class SoundPlayer(QObject):
    """Pushes samples of the moment the playhead is at; silent at any other speed than 1."""

    def __init__(self, playhead: Playhead, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._playhead = playhead
        self._feed: SoundFeed | None = None
        self._sink: QObject | None = None
        self._device: QIODevice | None = None
        self._next = 0  # the sample to write next
        self._muted = False
        self._hushed = False
        self._leaving = Leaving()
        self._timer = QTimer(self)
        self._timer.setTimerType(Qt.TimerType.PreciseTimer)
        self._timer.setInterval(PUSH_MS)
        self._timer.timeout.connect(self._push)
        playhead.playing_changed.connect(self._renew)
        playhead.speed_changed.connect(self._renew)
        playhead.moved.connect(self._expect)

    @property
    def is_sounding(self) -> bool:
        """Whether samples are being written now."""
        return self._device is not None

    @property
    def is_muted(self) -> bool:
        """Whether the coach switched the sound off."""
        return self._muted

    def set_footage(self, footage: Footage | None) -> None:
        """Take the sound of this footage."""
        self._let_go()
        if footage is not None and footage.has_sound:
            further = [(film.path, index) for film, index in footage.more]
            self._feed = SoundFeed(footage.path, footage.own, further)
            self._feed.expect(self._playhead.moment_s)

    def toggle(self) -> None:
        """Switch the sound off or on."""
        self._muted = not self._muted
        self._renew()

    def hush(self, on: bool) -> None:
        """Be silent for a while, whatever the coach switched: a microphone is open."""
        self._hushed = on
        self._renew()

    def close(self) -> None:
        """Fall silent and let go of the file."""
        self._let_go()
        self._leaving.wait()

    def _let_go(self) -> None:
        self._stop()
        self._leaving.send(self._feed)
        self._feed = None

    def _renew(self, *_changed: object) -> None:
        self._stop()
        playhead = self._playhead
        forwards = playhead.is_playing and not playhead.is_backwards
        silent = self._muted or self._hushed
        heard = forwards and playhead.speed == 1.0 and not silent
        if self._feed is not None and heard:
            self._start()

    def _start(self) -> None:
        try:
            from PySide6.QtMultimedia import QAudioFormat, QAudioSink, QMediaDevices
        except ImportError:
            return  # a system without a sound library shows the picture all the same
        speaker = QMediaDevices.defaultAudioOutput()
        if speaker.isNull():
            return  # a machine without a speaker shows the picture all the same
        form = QAudioFormat()
        form.setSampleRate(RATE_HZ)
        form.setChannelCount(1)
        form.setSampleFormat(QAudioFormat.SampleFormat.Int16)
        sink = QAudioSink(speaker, form, self)
        sink.setBufferSize(int(BUFFER_S * RATE_HZ) * BYTES)
        self._device = sink.start()
        self._sink = sink
        self._next = self._due()
        self._timer.start()

    def _stop(self) -> None:
        self._timer.stop()
        self._device = None
        if self._sink is not None:
            self._sink.reset()  # type: ignore[attr-defined]
            self._sink.deleteLater()
            self._sink = None

    def _due(self) -> int:
        """The sample that belongs at the end of what is written: heard when all before it was."""
        sink = self._sink
        waiting = 0
        if sink is not None:
            waiting = (sink.bufferSize() - sink.bytesFree()) // BYTES  # type: ignore[attr-defined]
        return round(self._playhead.running_s * RATE_HZ) + waiting

    def _push(self) -> None:
        sink, feed, device = self._sink, self._feed, self._device
        if sink is None or feed is None or device is None:
            return
        due = self._due()
        if abs(due - self._next) > SLIP_S * RATE_HZ:
            self._next = due
        free = sink.bytesFree() // BYTES  # type: ignore[attr-defined]
        if free <= 0:
            return
        levels = feed.samples(self._next, free)
        written = device.write(np.round(32767 * np.clip(levels, -1, 1)).astype("<i2").tobytes())
        self._next += max(int(written), 0) // BYTES

    def _expect(self, time_s: float) -> None:
        if self._feed is not None:
            self._feed.expect(time_s)
