"""Decoded frames kept at display size, bounded in bytes."""

from __future__ import annotations

import threading

from app.media.picture import SmallFrame

_GUESS = 12  # frames that surely fit, before the size of one is known


class FrameCache:
    """Frames of one size by number; the farthest from where the hand is goes first.

    While the hand goes back, frames it has passed count as twice as far, so two thirds lie ahead
    of it: those cost the most to get. Going forward both sides count alike, since turning back is
    what would be slow. One thread may look while another fills it.
    """

    def __init__(self, limit_bytes: int) -> None:
        self._limit = limit_bytes
        self._lock = threading.Lock()
        self._frames: dict[int, SmallFrame] = {}
        self._box = (0, 0)
        self.bytes = 0

    def set_limit(self, limit_bytes: int) -> None:
        """Bound what is kept from the next frame on; may be called from another thread."""
        self._limit = limit_bytes

    def __contains__(self, i: int) -> bool:
        return i in self._frames

    def resize(self, box: tuple[int, int]) -> None:
        """Keep frames that fit this box from now on; forgets those that fit another."""
        with self._lock:
            if box != self._box:
                self._box = box
                self._frames.clear()
                self.bytes = 0

    def get(self, i: int, box: tuple[int, int]) -> SmallFrame | None:
        """The kept frame, or None where it is not kept at this size."""
        with self._lock:
            return self._frames.get(i) if box == self._box else None

    def nearest(self, i: int) -> tuple[int, SmallFrame] | None:
        """The kept frame closest to `i`, with its number."""
        with self._lock:
            if not self._frames:
                return None
            j = min(self._frames, key=lambda k: abs(k - i))
            return j, self._frames[j]

    def put(self, i: int, frame: SmallFrame, here: int, direction: int) -> None:
        """Keep a frame; `here` is the frame on screen, `direction` (1, -1) where the hand goes."""
        passed = 1 if direction > 0 else 2

        def distance(j: int) -> int:
            ahead = (j - here) * direction
            return ahead if ahead >= 0 else -passed * ahead

        with self._lock:
            replaced = self._frames.pop(i, None)
            self.bytes -= replaced.size_bytes if replaced is not None else 0
            size = frame.size_bytes
            while self._frames and self.bytes + size > self._limit:
                farthest = max(self._frames, key=distance)
                self.bytes -= self._frames.pop(farthest).size_bytes
            if size <= self._limit:
                self._frames[i] = frame
                self.bytes += size

    def room(self, direction: int) -> tuple[int, int]:
        """How many frames ahead of the hand, and behind it, are sure to stay.

        Preparing more would push out what was just prepared, again and again.
        """
        if not self._frames:
            return _GUESS, _GUESS
        count = self._limit / max(1.0, self.bytes / len(self._frames))
        return (int(0.45 * count),) * 2 if direction > 0 else (int(0.6 * count), int(0.3 * count))

    def clear(self) -> None:
        """Forget all."""
        with self._lock:
            self._frames.clear()
            self.bytes = 0
