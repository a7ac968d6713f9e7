"""Brings to the screen what is at hand, in a thread of its own.

Decoding one frame, or standing at another key frame, can take longer than a key held down gives;
a frame that is kept already must not wait for that.
"""

from __future__ import annotations

import threading
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from app.media.cache import FrameCache
from app.media.picture import SmallFrame
from app.media.proxy import Proxy
from app.media.video import VideoFile
from app.media.wishes import Wish, Wishes

# How good an answer to a wish is: another frame near it, the wished one out of the quick copy, or
# out of the recording.
NEAR, QUICK, EXACT = range(3)
_LOOK_S = 1.0


@dataclass(frozen=True)
class ShownFrame:
    """A frame ready for the screen.

    Attributes
    ----------
    index : its number; differs from the asked one only while the hand outruns the decoder
    time_s : its presentation time
    image_bgra : (h, w, 4) uint8, contiguous, upright
    damaged : the recording is damaged here; the picture is what the decoder could give
    exact : whether it comes from the recording; False for the same frame out of the quick copy,
        which the one from the recording follows as soon as the hand rests
    """

    index: int
    time_s: float
    image_bgra: NDArray[np.uint8]
    damaged: bool = False
    exact: bool = True


class Screen:
    """What was shown last, whoever brought it: an older or worse answer never follows a better."""

    def __init__(self, deliver: Callable[[ShownFrame], None], wishes: Wishes) -> None:
        self._deliver = deliver
        self._wishes = wishes
        self._lock = threading.Lock()
        self._best = (-1, NEAR)  # serial of the wish, and how good its answer was
        self.index: int | None = None  # of the frame on screen

    def wants(self, wish: Wish, goodness: int) -> bool:
        """Whether such an answer is still of use."""
        answer = (wish.serial, goodness)
        return answer > self._best or (goodness == NEAR and answer == self._best)

    def show(self, wish: Wish, goodness: int, frame: ShownFrame) -> None:
        """Show a frame as the answer to a wish, unless a better one is there."""
        with self._lock:
            if self.wants(wish, goodness) and not self._wishes.closing:
                self._best = (wish.serial, goodness)
                self.index = frame.index
                self._deliver(frame)


class Courier:
    """Answers each wish for a frame that is kept, or is in the quick copy."""

    def __init__(
        self,
        video: VideoFile,
        wishes: Wishes,
        cache: FrameCache,
        proxy: Proxy | None,
        screen: Screen,
        is_damaged: Callable[[int], bool],
    ) -> None:
        self._index = video.index
        self._painter = video.another_painter()
        self._wishes = wishes
        self._cache = cache
        self._proxy = proxy
        self._screen = screen
        self._is_damaged = is_damaged
        self._ending = False
        self._thread = threading.Thread(target=self._run, name="kept frames", daemon=True)
        self._thread.start()

    def close(self) -> None:
        """End, within a second."""
        self._ending = True
        self._thread.join(2 * _LOOK_S)

    def _run(self) -> None:
        served: Wish | None = None
        while not (self._ending or self._wishes.closing):
            wish = self._wishes.next(served, _LOOK_S)
            if wish is not None:
                served = wish
                self._answer(wish)

    def _answer(self, wish: Wish) -> None:
        i = wish.number(len(self._index))
        small = self._cache.get(i, wish.box)
        if small is not None:
            self._show(wish, i, small, EXACT)
        elif self._proxy is not None and (quick := self._proxy.frame(i)) is not None:
            self._show(wish, i, quick, QUICK)

    def _show(self, wish: Wish, i: int, small: SmallFrame, goodness: int) -> None:
        if self._screen.wants(wish, goodness):
            frame = ShownFrame(
                index=i,
                time_s=float(self._index.time_s[i]),
                image_bgra=self._painter.finish(small),
                damaged=self._is_damaged(i),
                exact=goodness == EXACT,
            )
            self._screen.show(wish, goodness, frame)
