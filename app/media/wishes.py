"""What the hand asks of the decoding thread: only the newest wish counts."""

from __future__ import annotations

import threading
from dataclasses import dataclass


@dataclass(frozen=True)
class Wish:
    """A frame to fit a box; `serial` tells two wishes for the same frame apart."""

    index: int
    max_width: int
    max_height: int
    serial: int

    @property
    def box(self) -> tuple[int, int]:
        """Width and height to fit."""
        return self.max_width, self.max_height

    def number(self, frames: int) -> int:
        """The number of the frame wished for, where there are so many."""
        return min(max(self.index, 0), frames - 1)

    def same_picture(self, other: Wish | None) -> bool:
        """Whether another wish wants the same frame at the same size."""
        return other is not None and (other.index, other.box) == (self.index, self.box)


class Wishes:
    """Hands wishes from one thread to others without ever making the asking one wait."""

    def __init__(self) -> None:
        self._changed = threading.Condition()
        self._newest: Wish | None = None
        self._closing = False

    @property
    def newest(self) -> Wish | None:
        """What was asked last."""
        return self._newest

    @property
    def closing(self) -> bool:
        """Whether nothing is wanted any more."""
        return self._closing

    def ask(self, index: int, max_width: int, max_height: int) -> None:
        """Replace what was asked before."""
        with self._changed:
            serial = 0 if self._newest is None else self._newest.serial + 1
            self._newest = Wish(index, max(2, max_width), max(2, max_height), serial)
            self._changed.notify_all()

    def close(self) -> None:
        """Want nothing any more; wakes all who wait."""
        with self._changed:
            self._closing = True
            self._changed.notify_all()

    def next(self, served: Wish | None, wait_s: float | None) -> Wish | None:
        """The newest wish if it is not `served`, waiting for it (None: for good); else None."""
        with self._changed:
            if wait_s != 0:
                self._changed.wait_for(
                    lambda: self._closing or self._newest not in (None, served), wait_s
                )
            return None if self._closing or self._newest == served else self._newest
