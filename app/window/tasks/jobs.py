"""Slow work off the window's thread: one value back, progress, cancel, errors as sentences.

What takes the value in may do so in steps (a generator): the window gets a turn between them.
"""

from __future__ import annotations

import contextlib
import inspect
import threading
from collections.abc import Callable, Iterator
from typing import Any

from PySide6.QtCore import QObject, QTimer, Signal

from app.window.tasks.process_pool import ProcessPool
from app.window.tasks.workers import Workers

Progress = Callable[[float, str], None]
Cancelled = Callable[[], bool]
Work = Callable[[Progress, Cancelled], Any]
Done = Callable[[Any], Iterator[None] | None]

# What the input can be blamed for arrives as these; anything else is a fault of ours and is
# raised on the window's thread, where the crash report catches it.
USER_ERRORS = (ValueError, OSError)
_LAST = object()


class Job(QObject):
    """One piece of work in a thread of the job's own.

    Attributes
    ----------
    is_wanted : it writes a file the coach has asked for: it is not ended without a word
    is_quiet : it is not shown among the work under way
    has_failed : it ended without a value
    """

    progressed = Signal(float, str)
    ended = Signal(object, object, object)  # the job, its result, the exception or None

    def __init__(
        self,
        title: str,
        work: Work,
        done: Done,
        failed: Callable[[Exception], None],
        parent: QObject | None = None,
        *,
        is_wanted: bool = False,
        is_quiet: bool = False,
    ) -> None:
        super().__init__(parent)
        self.title = title
        self.is_wanted = is_wanted
        self.is_quiet = is_quiet
        self.has_failed = False
        self.done = done
        self.failed = failed
        self._work = work
        self._cancel = threading.Event()
        self._worked = threading.Event()

    def run(self) -> None:
        """Do the work, in the thread this is called from."""
        result: object = None
        problem: Exception | None = None
        try:
            result = self._work(self._report, self._cancel.is_set)
        except Exception as error:  # noqa: BLE001 - handed to the window's thread whole
            problem = error
        # The window may be gone by the time the work ends.
        with contextlib.suppress(RuntimeError):
            self.ended.emit(self, result, problem)
        self._worked.set()

    def cancel(self) -> None:
        """Ask the work to stop at its next convenience; its result is then ignored."""
        self._cancel.set()

    @property
    def is_cancelled(self) -> bool:
        """Whether it was asked to stop."""
        return self._cancel.is_set()

    def join(self, timeout_s: float) -> bool:
        """Wait for the end; True when it came in time."""
        return self._worked.wait(timeout_s)

    def _report(self, fraction: float, text: str = "") -> None:
        with contextlib.suppress(RuntimeError):
            self.progressed.emit(fraction, text)


class Jobs(QObject):
    """The jobs now under way, so that closing the window can end them.

    Attributes
    ----------
    process_pool : for work that loops in Python, whose turns the window would wait for
    """

    started = Signal(object)
    ended = Signal(object)

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._running: list[Job] = []
        self._workers = Workers()
        self.process_pool = ProcessPool()

    def run(
        self,
        title: str,
        work: Work,
        done: Done,
        failed: Callable[[Exception], None],
        *,
        is_wanted: bool = False,
        is_quiet: bool = False,
    ) -> Job:
        """Start work; `done` or `failed` is called on the window's thread, unless cancelled.

        Parameters
        ----------
        is_wanted : it writes a file the coach has asked for
        is_quiet : so short, and so often, that showing it would only flicker
        """
        job = Job(title, work, done, failed, self, is_wanted=is_wanted, is_quiet=is_quiet)
        # A bound method of an object of the window's thread: the call is queued to it.
        job.ended.connect(self._end)
        self._running.append(job)
        if not is_quiet:
            self.started.emit(job)
        self._workers.run(job.run)
        return job

    @property
    def running(self) -> tuple[Job, ...]:
        """Jobs not yet ended, or whose value is still being taken in."""
        return tuple(self._running)

    def cancel_all(self, timeout_s: float = 5.0) -> None:
        """Ask all to stop and wait a bounded time."""
        for job in self._running:
            job.cancel()
        for job in self._running:
            job.join(timeout_s)
        self._workers.close()
        self.process_pool.close()

    def _end(self, job: Job, result: object, problem: Exception | None) -> None:
        if problem is None and not job.is_cancelled and inspect.isgeneratorfunction(job.done):
            self._step(job, job.done(result))
            return
        job.has_failed = problem is not None
        self._leave(job)
        if job.is_cancelled:
            return
        if problem is None:
            job.done(result)
        elif isinstance(problem, USER_ERRORS):
            job.failed(problem)
        else:
            raise problem

    def _step(self, job: Job, steps: Iterator[None]) -> None:
        """Take one step of taking a value in; the next one comes after the window's turn."""
        more = False
        try:
            more = not job.is_cancelled and next(steps, _LAST) is not _LAST
        finally:
            if not more:
                self._leave(job)
        if more:
            # A timer of 0 would be a queued call: all steps, and no key between them.
            QTimer.singleShot(1, self, lambda: self._step(job, steps))

    def _leave(self, job: Job) -> None:
        if job in self._running:
            self._running.remove(job)
        self.ended.emit(job)
        job.deleteLater()
