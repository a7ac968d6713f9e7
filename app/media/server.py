"""Frames for a window: asked for without waiting, decoded in a thread of their own."""

from __future__ import annotations

import threading
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from app.media.errors import MediaError
from app.media.picture import SmallFrame
from app.media.video import VideoFile

CACHE_BYTES = 256 * 2**20
_AHEAD = 24  # frames kept ready in the direction of travel
_CLOSE_WAIT_S = 2.0


@dataclass(frozen=True)
class ShownFrame:
    """A frame ready for the screen.

    Attributes
    ----------
    index : its number; differs from the asked one only while the hand outruns the decoder
    time_s : its presentation time
    image_bgra : (h, w, 4) uint8, contiguous, upright
    damaged : the recording is damaged here; the picture is what the decoder could give
    """

    index: int
    time_s: float
    image_bgra: NDArray[np.uint8]
    damaged: bool = False


@dataclass(frozen=True)
class _Wish:
    index: int
    max_width: int
    max_height: int

    @property
    def box(self) -> tuple[int, int]:
        return self.max_width, self.max_height


class FrameServer:
    """Decodes in a thread of its own; the newest request wins, none of them waits.

    Parameters
    ----------
    path : the recording
    on_frame : called with each frame to show, from the worker thread
    on_error : called once with a sentence when the recording cannot be opened or is lost
    on_open : called with the open recording, from the worker thread, before any frame; read
        facts and `index` from it there, never keep or decode it
    on_progress : called with a share from 0 to 1 while the index is read
    cache_bytes : bound on decoded frames kept
    """

    def __init__(
        self,
        path: str | Path,
        on_frame: Callable[[ShownFrame], None],
        on_error: Callable[[str], None],
        on_open: Callable[[VideoFile], None] | None = None,
        on_progress: Callable[[float], None] | None = None,
        cache_bytes: int = CACHE_BYTES,
    ) -> None:
        self._path = Path(path)
        self._on_frame = on_frame
        self._on_error = on_error
        self._on_open = on_open
        self._on_progress = on_progress
        self._changed = threading.Condition()
        self._wish: _Wish | None = None
        self._closing = False
        self._cache = FrameCache(cache_bytes)
        self._thread = threading.Thread(target=self._run, name="frames", daemon=True)
        self._thread.start()

    def request(self, index: int, max_width: int, max_height: int) -> None:
        """Ask for a frame to fit a box; returns at once and replaces what was asked before."""
        with self._changed:
            self._wish = _Wish(index, max(2, max_width), max(2, max_height))
            self._changed.notify()

    def close(self) -> None:
        """Stop decoding and close the file; returns within two seconds whatever it is doing."""
        with self._changed:
            self._closing = True
            self._changed.notify()
        if threading.current_thread() is not self._thread:
            self._thread.join(_CLOSE_WAIT_S)

    @property
    def cached_bytes(self) -> int:
        """Memory the kept frames hold."""
        return self._cache.bytes

    def _run(self) -> None:
        try:
            with VideoFile.open(self._path, self._on_progress, lambda: self._closing) as video:
                if self._on_open is not None and not self._closing:
                    self._on_open(video)
                _Worker(self, video).run()
        except MediaError as error:
            if not self._closing:
                self._on_error(str(error))
        finally:
            self._cache.clear()

    def _next_wish(self, served: _Wish | None, wait: bool) -> _Wish | None:
        """The newest wish not served yet; None when there is none (or when closing)."""
        with self._changed:
            while wait and not self._closing and self._wish in (None, served):
                self._changed.wait()
            return None if self._closing or self._wish == served else self._wish


class _Worker:
    """What the thread does between opening and closing."""

    def __init__(self, server: FrameServer, video: VideoFile) -> None:
        self._server = server
        self._video = video
        self._cache = server._cache
        self._served: _Wish | None = None
        self._direction = 1
        self._lost = False

    def run(self) -> None:
        while not self._server._closing:
            wish = self._server._next_wish(self._served, wait=not self._work_ahead())
            if wish is None:
                continue
            try:
                self._serve(wish)
            except MediaError as error:
                self._served = wish
                self._complain(str(error))

    def _complain(self, sentence: str) -> None:
        """Say once that the recording is lost; what is kept is still shown."""
        if not self._lost:
            self._lost = True
            self._server._on_error(sentence)

    def _serve(self, wish: _Wish) -> None:
        last = len(self._video.index) - 1
        i = min(max(wish.index, 0), last)
        if self._served is not None:
            if wish.box != self._served.box:
                self._cache.clear()
            elif wish.index != self._served.index:
                self._direction = 1 if wish.index > self._served.index else -1
        if self._direction < 0 and i not in self._cache:
            self._fill_back_to(i, wish)
        small = self._get(i, wish)
        self._served = wish
        self._server._on_frame(
            ShownFrame(
                index=i,
                time_s=float(self._video.index.time_s[i]),
                image_bgra=self._video.finish(small),
                damaged=self._video.is_damaged(i),
            )
        )

    def _fill_back_to(self, i: int, wish: _Wish) -> None:
        """Keep the frames decoded on the way to `i`: the next steps back will want them."""
        for j in range(self._group_start(i), i):
            if self._server._closing or self._server._wish is not wish:
                return
            self._get(j, wish)

    def _group_start(self, i: int) -> int:
        """First frame worth keeping of those decoded on the way to `i`."""
        index = self._video.index
        start = int(np.searchsorted(index.pts, index.key_before(i)))
        return max(start, i - self._room() // 2, 0)

    def _room(self) -> int:
        return self._cache.room()

    def _work_ahead(self) -> bool:
        """Prepare one frame the hand is likely to ask for next; False when all are ready."""
        wish = self._served
        if wish is None or self._lost:
            return False
        last = len(self._video.index) - 1
        here = min(max(wish.index, 0), last)
        ahead = min(_AHEAD, self._room() // 2)
        if self._direction > 0:
            wanted = range(here + 1, min(here + ahead, last) + 1)
        else:
            missing = next(
                (j for j in range(here - 1, max(here - ahead, 0) - 1, -1) if j not in self._cache),
                None,
            )
            if missing is None:
                return False
            wanted = range(self._group_start(missing), missing + 1)
        for j in wanted:
            if j not in self._cache:
                try:
                    self._get(j, wish)
                except MediaError:
                    return False
                return True
        return False

    def _get(self, i: int, wish: _Wish) -> SmallFrame:
        small = self._cache.get(i)
        if small is None:
            small = self._video.small(i, *wish.box)
            here = wish.index if self._served is None else self._served.index
            self._cache.put(i, small, here)
        return small


class FrameCache:
    """Frames by number, bounded in bytes; the farthest from where the hand is goes first."""

    def __init__(self, limit_bytes: int) -> None:
        self._limit = limit_bytes
        self._frames: dict[int, SmallFrame] = {}
        self.bytes = 0

    def __contains__(self, i: int) -> bool:
        return i in self._frames

    def get(self, i: int) -> SmallFrame | None:
        """The kept frame, or None."""
        return self._frames.get(i)

    def put(self, i: int, frame: SmallFrame, here: int) -> None:
        """Keep a frame; `here` is the number of the frame on screen."""
        size = frame.size_bytes
        while self._frames and self.bytes + size > self._limit:
            farthest = max(self._frames, key=lambda j: abs(j - here))
            self.bytes -= self._frames.pop(farthest).size_bytes
        if size <= self._limit:
            self._frames[i] = frame
            self.bytes += size

    def room(self) -> int:
        """How many frames of the kept size fit."""
        if not self._frames:
            return 1
        return max(1, int(self._limit / max(1.0, self.bytes / len(self._frames))))

    def clear(self) -> None:
        """Forget all."""
        self._frames.clear()
        self.bytes = 0
