"""Threads that stand ready, so that beginning a piece of work never makes the window wait.

Beginning a thread waits until it runs; while other threads are at work that takes several
hundredths of a second. A thread that stands ready is only woken.
"""

from __future__ import annotations

import queue
import threading
from collections.abc import Callable

Deed = Callable[[], None]
READY = 4  # opening a submission has about as many pieces of work under way at once


class Workers:
    """Runs each piece of work in a thread that has none; more threads begin where all are busy."""

    def __init__(self, ready: int = READY) -> None:
        self._lock = threading.Lock()
        self._idle: list[queue.SimpleQueue[Deed | None]] = []
        self._closed = False
        for _ in range(ready):
            self._begin(None)

    def run(self, deed: Deed) -> None:
        """Hand over work; it must not raise."""
        with self._lock:
            inbox = self._idle.pop() if self._idle else None
        if inbox is not None:
            inbox.put(deed)
        else:
            self._begin(deed)

    def close(self) -> None:
        """Send the idle ones home, and the busy ones when they are done."""
        with self._lock:
            self._closed = True
            idle, self._idle = self._idle, []
        for inbox in idle:
            inbox.put(None)

    def _begin(self, deed: Deed | None) -> None:
        inbox: queue.SimpleQueue[Deed | None] = queue.SimpleQueue()
        if deed is None:
            self._idle.append(inbox)
        else:
            inbox.put(deed)
        threading.Thread(target=self._serve, args=(inbox,), name="job", daemon=True).start()

    def _serve(self, inbox: queue.SimpleQueue[Deed | None]) -> None:
        while (deed := inbox.get()) is not None:
            deed()
            del deed  # what the work held is let go of now, not with the next work
            with self._lock:
                if self._closed:
                    return
                self._idle.append(inbox)
