"""Answers the playhead's wish for a moment with the frame that was on screen then."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, QSize, Signal

from app.window.session.footage import Footage
from app.window.session.playhead import Playhead
from app.window.session.settings import CACHE_MB, QUICK_COPY_MB
from app.window.views.ending_decoders import Leaving

if TYPE_CHECKING:
    from app.media.server import FrameServer, ShownFrame

LEAST_SIDE = 64
MB = 2**20


class FrameSupply(QObject):
    """Hands wishes to the decoding thread and frames to the picture, newest wish first."""

    frame_ready = Signal(object)  # ShownFrame, or None where there is no footage
    lost = Signal(str)
    _came = Signal(object, object)  # the server that sent it, ShownFrame
    _failed = Signal(object, str)

    def __init__(self, playhead: Playhead, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._playhead = playhead
        self._server: FrameServer | None = None
        self._leaving = Leaving()
        self._footage: Footage | None = None
        self._size = QSize(960, 540)
        self._last: ShownFrame | None = None
        self._last_size = QSize()
        self._token = object()
        self._cache_mb, self._proxy_mb = CACHE_MB[0], QUICK_COPY_MB[0]
        self._shared = False
        playhead.wanted.connect(self._want)
        playhead.playing_changed.connect(self._tell_playing)
        self._came.connect(self._deliver)
        self._failed.connect(self._fail)

    @property
    def cache_bytes(self) -> int:
        """How much memory frames of this picture, or of each of two, may take."""
        return self._cache_mb * MB // (2 if self._shared else 1)

    def set_footage(self, footage: Footage | None) -> None:
        """Serve another file, or none."""
        if footage is self._footage:
            return
        self._let_go()
        self._footage = footage
        if footage is not None:
            from app.media.server import FrameServer

            # The callbacks run in the decoding thread; a signal carries them over. The server
            # names itself so that a late frame of the last file is not shown for this one.
            token = self._token
            self._server = FrameServer(
                footage.path,
                lambda frame: self._came.emit(token, frame),
                lambda text: self._failed.emit(token, text),
                cache_bytes=self.cache_bytes,
                proxy_bytes=self._proxy_mb * MB,
                capture_fps=footage.capture_fps,
                video=footage.opened.take(),
                more=[film for film, _index in footage.more],
            )
        self._playhead.set_supplied(True)

    def set_limits(self, cache_mb: int, proxy_mb: int) -> None:
        """Bound frames in memory and the quick copy on disk (0: none); takes effect at once."""
        if (cache_mb, proxy_mb) == (self._cache_mb, self._proxy_mb):
            return
        self._cache_mb, self._proxy_mb = cache_mb, proxy_mb
        footage = self._footage
        if footage is not None:
            self._let_go()
            self.set_footage(footage)
            self._want(self._playhead.wanted_s)

    def set_size(self, size: QSize) -> None:
        """Decode for a picture of this many device pixels."""
        if size != self._size and size.width() >= LEAST_SIDE and size.height() >= LEAST_SIDE:
            self._size = size
            self._want(self._playhead.wanted_s)

    def share_memory(self, shared: bool) -> None:
        """Leave half of the memory for frames to a second picture, or have all of it again."""
        self._shared = shared
        if self._server is not None:
            self._server.set_cache_bytes(self.cache_bytes)

    def close(self) -> None:
        """Stop decoding, and wait until nothing decodes any more."""
        self._let_go()
        self._leaving.wait()

    def _let_go(self) -> None:
        """Stop decoding; the window does not wait until the last frame is through."""
        self._leaving.send(self._server)
        self._server = None
        self._footage = None
        self._last = None
        self._token = object()

    def _tell_playing(self, playing: bool) -> None:
        if self._server is not None:
            self._server.set_playing(playing)

    def _want(self, time_s: float) -> None:
        footage = self._footage
        if footage is None or not footage.index.holds(time_s) or self._server is None:
            self.frame_ready.emit(None)
            self._playhead.arrive(time_s)
            return
        index = footage.index.at(time_s)
        self._server.request(index, self._size.width(), self._size.height())
        if self._last is not None and self._last.index == index and self._last_size == self._size:
            # The server does not send again what it sent last.
            self._deliver(self._token, self._last)

    def _deliver(self, token: object, frame: ShownFrame) -> None:
        if token is not self._token:
            return
        self._last, self._last_size = frame, self._size
        self.frame_ready.emit(frame)
        wanted_s = self._playhead.wanted_s
        # A frame holds an interval; the moment asked for within it is the moment shown.
        holds = self._footage is not None and self._footage.index.at(wanted_s) == frame.index
        self._playhead.arrive(wanted_s if holds else frame.time_s)

    def _fail(self, token: object, text: str) -> None:
        if token is self._token:
            self.lost.emit(text)
