"""What second of a recording it is now, by the count of its samples."""

from __future__ import annotations

import time
from collections import deque
from collections.abc import Callable

# Samples come in pieces and late. How late the least late of these seconds came is what the
# microphone and the system need; more than that was a busy window. Long enough to hold several
# pieces, for all that waited comes at once; short, because samples that a busy system lost show
# as pieces that are later from then on.
WINDOW_S = 0.6
# After a busy window all that waited comes at once. Where so many pieces in a row are later than
# the least late by so much, samples were lost for good, and the count stands for another instant.
LOST_S = 0.15
LOST_PIECES = 5


class SampleClock:
    """Tells the time between pieces of sound too; without any sound it is a plain clock.

    Parameters
    ----------
    now : seconds of a clock that never jumps
    """

    def __init__(self, now: Callable[[], float] = time.monotonic) -> None:
        self._now = now
        self._begun = now()
        self._late: deque[tuple[float, float]] = deque()
        self._recent: deque[float] = deque(maxlen=LOST_PIECES)
        self._last_s = 0.0

    def heard(self, length_s: float) -> None:
        """A piece of sound came; so much is recorded now."""
        now = self._now()
        offset = now - length_s
        self._recent.append(offset)
        lost = len(self._recent) == LOST_PIECES and self._late
        if lost and min(self._recent) > self._late[0][1] + LOST_S:
            self._late.clear()
        # Only what may still become the least is kept, so the first is the least.
        while self._late and self._late[-1][1] >= offset:
            self._late.pop()
        self._late.append((now, offset))
        while self._late[0][0] < now - WINDOW_S:
            self._late.popleft()

    def seconds(self) -> float:
        """Seconds of the recording at this instant; never goes back."""
        offset = self._late[0][1] if self._late else self._begun
        self._last_s = max(self._last_s, self._now() - offset, 0.0)
        return self._last_s
