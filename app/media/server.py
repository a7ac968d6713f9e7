"""Frames for a window: asked for without waiting, decoded in a thread of their own."""

from __future__ import annotations

import ctypes
import sys
import threading
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from app.media.decoder import Interrupted
from app.media.errors import MediaError
from app.media.picture import SmallFrame
from app.media.video import VideoFile

CACHE_BYTES = 256 * 2**20
_AHEAD = 24  # frames kept ready in the direction of travel
_NEAR = 15  # a kept frame this near may stand in until the exact one is decoded
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
    serial: int  # asking twice for one frame gives it twice

    def same_picture(self, other: _Wish | None) -> bool:
        """Whether another wish wants the same frame at the same size."""
        return other is not None and (other.index, other.box) == (self.index, self.box)

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
            serial = 0 if self._wish is None else self._wish.serial + 1
            self._wish = _Wish(index, max(2, max_width), max(2, max_height), serial)
            self._changed.notify()

    def close(self) -> None:
        """Stop decoding and close the file; returns within two seconds whatever it is doing."""
        with self._changed:
            self._closing = True
            self._changed.notify()
        if threading.current_thread() is not self._thread:
            self._thread.join(_CLOSE_WAIT_S)

    @property
    def running(self) -> bool:
        """Whether the thread still lives."""
        return self._thread.is_alive()

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
            _give_back_memory()

    def _next_wish(self, served: _Wish | None, wait: bool) -> _Wish | None:
        """The newest wish not served yet; None when there is none (or when closing)."""
        with self._changed:
            while wait and not self._closing and self._wish in (None, served):
                self._changed.wait()
            return None if self._closing or self._wish == served else self._wish


def _give_back_memory() -> None:
    """Return freed frames to the system: the allocator keeps a dead thread's share otherwise.

    The next recording's thread would not find it, and opening one after another would grow.
    """
    if sys.platform == "linux":
        # Absent from some C libraries, which then have nothing to trim.
        trim = getattr(ctypes.CDLL(None), "malloc_trim", None)
        if trim is not None:
            trim(0)


class _Worker:
    """What the thread does between opening and closing."""

    def __init__(self, server: FrameServer, video: VideoFile) -> None:
        self._server = server
        self._video = video
        self._cache = server._cache
        self._served: _Wish | None = None
        self._on_screen: int | None = None
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
        i = self._number(wish)
        if self._served is not None:
            if wish.box != self._served.box:
                self._cache.clear()
                self._on_screen = None
            elif wish.index != self._served.index:
                self._direction = 1 if wish.index > self._served.index else -1
        self._served = wish
        if i not in self._cache:
            self._show_nearest(i)
        try:
            self._show(i, self._get(i, wish))
        except Interrupted as stopped:
            # The hand moves faster than the decoder: let it see where the decoder has come to.
            newest = self._server._wish
            small = self._cache.get(stopped.at)
            if newest is not None and newest.box == wish.box and small is not None:
                self._show_if_nearer(stopped.at, small, self._number(newest))

    def _number(self, wish: _Wish) -> int:
        return min(max(wish.index, 0), len(self._video.index) - 1)

    def _show(self, i: int, small: SmallFrame) -> None:
        self._on_screen = i
        shown = ShownFrame(
            index=i,
            time_s=float(self._video.index.time_s[i]),
            image_bgra=self._video.finish(small),
            damaged=self._video.is_damaged(i),
        )
        if not self._server._closing:
            self._server._on_frame(shown)

    def _show_nearest(self, i: int) -> None:
        """Until the decoder has come to `i`, show a kept frame that is nearly it."""
        near = self._cache.nearest(i)
        if near is not None and abs(near[0] - i) <= _NEAR:
            self._show_if_nearer(*near, i)

    def _show_if_nearer(self, j: int, small: SmallFrame, wanted: int) -> None:
        if self._on_screen is None or abs(j - wanted) < abs(self._on_screen - wanted):
            self._show(j, small)

    def _work_ahead(self) -> bool:
        """Prepare a frame the hand is likely to ask for next; False when all are ready."""
        wish = self._served
        if wish is None or self._lost or self._server._wish is not wish:
            return False
        here = self._number(wish)
        reach = self._cache.reach()
        if self._direction > 0:
            last = len(self._video.index) - 1
            wanted = range(here + 1, min(here + min(_AHEAD, reach), last) + 1)
        else:
            # The group before takes a second or more to decode: it must be begun early.
            wanted = range(here - 1, max(here - reach, 0) - 1, -1)
        missing = next((j for j in wanted if j not in self._cache), None)
        if missing is None:
            return False
        try:
            self._get(missing, wish)
        except (Interrupted, MediaError):
            return False
        return missing in self._cache

    def _get(self, i: int, wish: _Wish) -> SmallFrame:
        """Frame `i` at display size; frames decoded on the way are kept as well.

        The next steps back will want those, and shrinking them costs a twentieth of decoding.
        """
        small = self._cache.get(i)
        if small is not None:
            return small
        here = self._number(wish)
        # What lies before the target lies in the hand's way only when it goes back.
        reach = self._cache.reach() // (2 if self._direction > 0 else 1)

        def passing(j: int, shrink: Callable[[], SmallFrame]) -> bool:
            if i - j <= reach and j not in self._cache:
                self._cache.put(j, shrink(), here, self._direction)
            return wish.same_picture(self._server._wish) and not self._server._closing

        small = self._video.small(i, *wish.box, passing)
        self._cache.put(i, small, here, self._direction)
        return small


class FrameCache:
    """Frames by number, bounded in bytes; the farthest from where the hand is goes first.

    Frames the hand has passed count as twice as far, so two thirds lie ahead of it.
    """

    def __init__(self, limit_bytes: int) -> None:
        self._limit = limit_bytes
        self._frames: dict[int, SmallFrame] = {}
        self.bytes = 0

    def __contains__(self, i: int) -> bool:
        return i in self._frames

    def get(self, i: int) -> SmallFrame | None:
        """The kept frame, or None."""
        return self._frames.get(i)

    def nearest(self, i: int) -> tuple[int, SmallFrame] | None:
        """The kept frame closest to `i`, with its number."""
        if not self._frames:
            return None
        j = min(self._frames, key=lambda k: abs(k - i))
        return j, self._frames[j]

    def put(self, i: int, frame: SmallFrame, here: int, direction: int) -> None:
        """Keep a frame; `here` is the frame on screen, `direction` (1, -1) where the hand goes."""

        def distance(j: int) -> int:
            ahead = (j - here) * direction
            return ahead if ahead >= 0 else -2 * ahead

        replaced = self._frames.pop(i, None)
        self.bytes -= replaced.size_bytes if replaced is not None else 0
        size = frame.size_bytes
        while self._frames and self.bytes + size > self._limit:
            farthest = max(self._frames, key=distance)
            self.bytes -= self._frames.pop(farthest).size_bytes
        if size <= self._limit:
            self._frames[i] = frame
            self.bytes += size

    def reach(self) -> int:
        """How many frames ahead of the hand are sure to stay; a guess before the first is kept.

        Preparing more would push out what was just prepared, again and again.
        """
        if not self._frames:
            return 12
        return int(0.6 * self._limit / max(1.0, self.bytes / len(self._frames)))

    def clear(self) -> None:
        """Forget all."""
        self._frames.clear()
        self.bytes = 0
