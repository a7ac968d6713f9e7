"""The second picture's frames: which one belongs to the moment the playhead stands at."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, QSize, Signal

from analysis.comparing.phase import nearest_frame
from app.window.session.footage import Footage
from app.window.session.playhead import Playhead
from app.window.session.settings import CACHE_MB
from app.window.views.ending_decoders import Leaving
from app.window.views.frame_supply import LEAST_SIDE, MB

if TYPE_CHECKING:
    from app.media.index import FrameIndex
    from app.media.server import FrameServer, ShownFrame

OtherTime = Callable[[float], float]


class SecondSupply(QObject):
    """Follows the one playhead: for each frame on the left, the frame of the same phase.

    It has no clock of its own and the playhead does not wait for it; at rest both pictures are
    exact, and while time runs a second frame that is ready first waits for the first picture's.
    """

    frame_ready = Signal(object)  # ShownFrame, or None where the other recording shows nothing
    lost = Signal(str)
    _came = Signal(object, object)  # the server that sent it, ShownFrame
    _failed = Signal(object, str)

    def __init__(self, playhead: Playhead, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._playhead = playhead
        self._server: FrameServer | None = None
        self._leaving = Leaving()
        self._footage: Footage | None = None
        self._first: FrameIndex | None = None
        self._other_time: OtherTime = float
        self._size = QSize(480, 270)
        self._held: ShownFrame | None = None  # came, and waits for the first picture
        self._last: ShownFrame | None = None
        self._last_size = QSize()
        self._token = object()
        self.cache_bytes = CACHE_MB[0] * MB // 2  # for the next footage
        playhead.wanted.connect(self._want)
        playhead.moved.connect(self._release)
        playhead.playing_changed.connect(self._tell_playing)
        self._came.connect(self._take)
        self._failed.connect(self._fail)

    @property
    def footage(self) -> Footage | None:
        """What is served now."""
        return self._footage

    def set_footage(self, footage: Footage | None) -> None:
        """Serve another file, or none; a file that is served already goes on."""
        if footage is self._footage:
            return
        self._let_go()
        self._footage = footage
        if footage is None:
            return
        from app.media.server import FrameServer

        token = self._token
        self._server = FrameServer(
            footage.path,
            lambda frame: self._came.emit(token, frame),
            lambda text: self._failed.emit(token, text),
            cache_bytes=self.cache_bytes,
            proxy_bytes=0,  # one stroke fits the memory; a copy on disk would only cost work
            capture_fps=footage.capture_fps,
            video=footage.opened.take(),
        )
        self._server.set_playing(self._playhead.is_playing)

    def set_clock(self, first: FrameIndex | None, other_time: OtherTime) -> None:
        """Say which frames the first picture has, and how its seconds turn into ours."""
        self._first, self._other_time = first, other_time
        self._want(self._playhead.wanted_s)

    def set_size(self, size: QSize) -> None:
        """Decode for a picture of this many device pixels."""
        if size != self._size and min(size.width(), size.height()) >= LEAST_SIDE:
            self._size = size
            self._want(self._playhead.wanted_s)

    def frame_at(self, left_s: float) -> int | None:
        """Number of the frame that belongs to a moment of the first picture.

        Both frames stand for the instant they begin at, so the one nearest in phase to the first
        picture's own frame is taken: never more than half a frame away. None where there is none.
        """
        return None if self._footage is None else nearest(self._footage.index, self.time_at(left_s))

    def time_at(self, left_s: float) -> float:
        """Seconds of the second recording at a moment of the first."""
        first = self._first
        if first is not None and first.holds(left_s):
            left_s = float(first.time_s[first.at(left_s)])
        return self._other_time(left_s)

    def close(self) -> None:
        """Stop decoding, and wait until nothing decodes any more."""
        self._let_go()
        self._leaving.wait()

    def _let_go(self) -> None:
        """Stop decoding; the window does not wait until the last frame is through."""
        self._leaving.send(self._server)
        self._server = self._footage = None
        self._held = self._last = None
        self._token = object()

    def _tell_playing(self, playing: bool) -> None:
        if self._server is not None:
            self._server.set_playing(playing)

    def _want(self, left_s: float) -> None:
        if self._server is None:
            return
        index = self.frame_at(left_s)
        if index is None:
            self._held = None
            self.frame_ready.emit(None)
            return
        self._server.request(index, self._size.width(), self._size.height())
        if self._last is not None and self._last.index == index and self._last_size == self._size:
            # The server does not send again what it sent last.
            self._take(self._token, self._last)

    def _take(self, token: object, frame: ShownFrame) -> None:
        if token is not self._token:
            return
        self._last, self._last_size = frame, self._size  # it does not come a second time
        if self.frame_at(self._playhead.wanted_s) is None:
            return  # it was on its way when a moment was asked for that nobody filmed
        self._held = frame
        if self._playhead.time_s == self._playhead.wanted_s:
            self._release()

    def _release(self, *_moved: float) -> None:
        """The first picture is there: show what belongs beside it."""
        if self._held is not None:
            held, self._held = self._held, None
            self.frame_ready.emit(held)

    def _fail(self, token: object, text: str) -> None:
        if token is self._token:
            self.lost.emit(text)


def nearest(index: FrameIndex, time_s: float) -> int | None:
    """The frame that begins nearest to a moment; None where the recording shows nothing."""
    i = nearest_frame(index.time_s, time_s)
    half_s = (index.end_s - float(index.time_s[-1])) / 2
    return i if -half_s <= time_s < index.end_s else None
