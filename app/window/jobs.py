"""Slow work off the window's thread: one value back, progress, cancel, errors as sentences."""

from __future__ import annotations

import contextlib
import threading
from collections.abc import Callable
from typing import Any

from PySide6.QtCore import QObject, Signal

from app.window.aside import Aside

Progress = Callable[[float, str], None]
Cancelled = Callable[[], bool]
Work = Callable[[Progress, Cancelled], Any]

# What the input can be blamed for arrives as these; anything else is a fault of ours and is
# raised on the window's thread, where the crash report catches it.
USER_ERRORS = (ValueError, OSError)


class Job(QObject):
    """One piece of work in a thread of its own."""

    progressed = Signal(float, str)
    ended = Signal(object, object, object)  # the job, its result, the exception or None

    def __init__(
        self,
        title: str,
        work: Work,
        done: Callable[[Any], None],
        failed: Callable[[Exception], None],
        parent: QObject | None = None,
    ) -> None:
        super().__init__(parent)
        self.title = title
        self.done = done
        self.failed = failed
        self._work = work
        self._cancel = threading.Event()
        self._thread = threading.Thread(target=self._run, name=title, daemon=True)

    def start(self) -> None:
        """Begin."""
        self._thread.start()

    def cancel(self) -> None:
        """Ask the work to stop at its next convenience; its result is then ignored."""
        self._cancel.set()

    @property
    def is_cancelled(self) -> bool:
        """Whether it was asked to stop."""
        return self._cancel.is_set()

    def join(self, timeout_s: float) -> bool:
        """Wait for the end; True when it came in time."""
        self._thread.join(timeout_s)
        return not self._thread.is_alive()

    def _run(self) -> None:
        result: object = None
        problem: Exception | None = None
        try:
            result = self._work(self._report, self._cancel.is_set)
        except Exception as error:  # noqa: BLE001 - handed to the window's thread whole
            problem = error
        # The window may be gone by the time the work ends.
        with contextlib.suppress(RuntimeError):
            self.ended.emit(self, result, problem)

    def _report(self, fraction: float, text: str = "") -> None:
        with contextlib.suppress(RuntimeError):
            self.progressed.emit(fraction, text)


class Jobs(QObject):
    """The jobs now under way, so that closing the window can end them.

    Attributes
    ----------
    aside : for work that loops in Python, whose turns the window would wait for
    """

    started = Signal(object)
    ended = Signal(object)

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._running: list[Job] = []
        self.aside = Aside()

    def run(
        self,
        title: str,
        work: Work,
        done: Callable[[Any], None],
        failed: Callable[[Exception], None],
    ) -> Job:
        """Start work; `done` or `failed` is called on the window's thread, unless cancelled."""
        job = Job(title, work, done, failed, self)
        # A bound method of an object of the window's thread: the call is queued to it.
        job.ended.connect(self._end)
        self._running.append(job)
        self.started.emit(job)
        job.start()
        return job

    @property
    def running(self) -> tuple[Job, ...]:
        """Jobs not yet ended."""
        return tuple(self._running)

    def cancel_all(self, timeout_s: float = 5.0) -> None:
        """Ask all to stop and wait a bounded time."""
        for job in self._running:
            job.cancel()
        for job in self._running:
            job.join(timeout_s)
        self.aside.close()

    def _end(self, job: Job, result: object, problem: Exception | None) -> None:
        if job in self._running:
            self._running.remove(job)
        self.ended.emit(job)
        job.deleteLater()
        if job.is_cancelled:
            return
        if problem is None:
            job.done(result)
        elif isinstance(problem, USER_ERRORS):
            job.failed(problem)
        else:
            raise problem
