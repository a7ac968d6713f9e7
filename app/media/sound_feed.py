"""The sound of a recording, decoded ahead of a listener in a thread of its own."""

from __future__ import annotations

import threading
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from app.media.errors import MediaError

if TYPE_CHECKING:
    from app.media.index import FrameIndex

RATE_HZ = 48_000
CHUNK_S = 2.0
# The chunk being heard, two ahead and one behind for a short loop: under 2 MB.
KEPT_CHUNKS = 5


class SoundFeed:
    """Gives samples at once or not at all; what is not decoded yet is heard as silence.

    Parameters
    ----------
    path : the recording
    index : its index, which places the sound on the video's clock
    more : further recordings on its clock, each with its index there
    """

    def __init__(
        self,
        path: str | Path,
        index: FrameIndex,
        more: Sequence[tuple[Path, FrameIndex]] = (),
    ) -> None:
        self._parts = ((Path(path), index), *more)
        self._first = int(min(i.start_s for _path, i in self._parts) // CHUNK_S)
        self._last = int(max(i.end_s for _path, i in self._parts) // CHUNK_S)
        self._chunks: dict[int, NDArray[np.float32]] = {}
        self._changed = threading.Condition()
        self._here: int | None = None
        self._closing = False
        self._thread = threading.Thread(target=self._run, name="sound", daemon=True)
        self._thread.start()

    def expect(self, time_s: float) -> None:
        """Say where the listener is or will be, in video seconds; decoding begins."""
        with self._changed:
            here = max(self._first, int(time_s // CHUNK_S))
            if here != self._here:
                self._here = here
                self._changed.notify()

    def samples(self, start: int, count: int) -> NDArray[np.float32]:
        """Samples `start` to `start + count` of the video's clock at `RATE_HZ`, mono."""
        out = np.zeros(count, np.float32)
        size = int(CHUNK_S * RATE_HZ)
        at = max(start, self._first * size)
        while at < start + count:
            number, offset = divmod(at, size)
            chunk = self._chunks.get(number)
            length = min(size - offset, start + count - at)
            if chunk is not None:
                out[at - start : at - start + length] = chunk[offset : offset + length]
            at += length
        return out

    def is_ready(self, time_s: float) -> bool:
        """Whether the sound of a moment is decoded."""
        return max(self._first, int(time_s // CHUNK_S)) in self._chunks

    @property
    def running(self) -> bool:
        """Whether the thread still lives."""
        return self._thread.is_alive()

    def stop(self) -> None:
        """Stop soon; returns at once."""
        with self._changed:
            self._closing = True
            self._changed.notify()

    def close(self) -> None:
        """Stop; returns within two seconds."""
        self.stop()
        self._thread.join(2.0)

    def _run(self) -> None:
        from app.media.reel import reel_sound

        while (number := self._next()) is not None:
            start = number * CHUNK_S
            try:
                chunk = reel_sound(self._parts, start, start + CHUNK_S, RATE_HZ)
            except (MediaError, OSError):
                # No sound, or the file is gone: the picture says so, here it is quiet.
                chunk = np.zeros(int(CHUNK_S * RATE_HZ), np.float32)
            with self._changed:
                self._chunks[number] = chunk
                here = self._here or 0
                for far in sorted(self._chunks, key=lambda n: -abs(n - here))[:-KEPT_CHUNKS]:
                    del self._chunks[far]

    def _next(self) -> int | None:
        """The nearest chunk still to decode; waits for one; None when closing."""
        with self._changed:
            while not self._closing:
                if self._here is not None:
                    for number in (self._here, self._here + 1, self._here + 2):
                        if number <= self._last and number not in self._chunks:
                            return number
                self._changed.wait()
        return None
