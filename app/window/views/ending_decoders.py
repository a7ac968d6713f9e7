"""Threads told to end that may still be at a frame: nobody waits but the closing window."""

from __future__ import annotations

from typing import Protocol


class Decoding(Protocol):
    """Something with a thread of its own that decodes."""

    @property
    def running(self) -> bool:
        """Whether the thread still lives."""
        ...

    def stop(self) -> None:
        """End soon; returns at once."""
        ...

    def close(self) -> None:
        """End, and wait for it a bounded time."""
        ...


class Leaving:
    """Those that were told to end."""

    def __init__(self) -> None:
        self._still: list[Decoding] = []

    def send(self, decoding: Decoding | None) -> None:
        """Tell one to end and go on."""
        if decoding is not None:
            decoding.stop()
            self._still = [one for one in (*self._still, decoding) if one.running]

    def wait(self) -> None:
        """Wait until none decodes any more."""
        for one in self._still:
            one.close()
        self._still = []
