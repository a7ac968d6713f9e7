"""Processes of this machine that prepare submissions; one that dies takes nothing with it."""

from __future__ import annotations

import contextlib
import os
import queue
import signal
import threading
from collections.abc import Callable, Iterator, Sequence
from multiprocessing import get_context
from multiprocessing.connection import Connection
from typing import Final

from app.drafts.job import DraftJob, Prepared, failed

Prepare = Callable[[DraftJob], Prepared]
DIED: Final = (
    "The process that prepared it ended twice, perhaps for want of memory; open its files by hand."
)
_TRIES: Final = 2


def on_this_machine(
    jobs: Sequence[DraftJob], prepare: Prepare, processes: int | None = None
) -> Iterator[tuple[DraftJob, Prepared]]:
    """Prepare submissions on all cores; gives each as it is done.

    Leaving the loop early ends the processes.

    Parameters
    ----------
    prepare : can be sent to another process; raises nothing
    processes : as many as there are cores if None
    """
    count = max(1, min(processes or os.cpu_count() or 1, len(jobs)))
    waiting: queue.SimpleQueue[DraftJob | None] = queue.SimpleQueue()
    done: queue.SimpleQueue[tuple[DraftJob, Prepared]] = queue.SimpleQueue()
    for job in (*jobs, *[None] * count):
        waiting.put(job)
    workers = [_Worker(prepare) for _ in range(count)]
    for worker in workers:
        threading.Thread(target=_work, args=(worker, waiting, done), daemon=True).start()
    try:
        for _ in jobs:
            yield done.get()
    finally:
        for worker in workers:
            worker.stop()


def _work(
    worker: _Worker,
    waiting: queue.SimpleQueue[DraftJob | None],
    done: queue.SimpleQueue[tuple[DraftJob, Prepared]],
) -> None:
    while (job := waiting.get()) is not None:
        done.put((job, worker.do(job)))


class _Worker:
    """One process at a time, and another where it died."""

    def __init__(self, prepare: Prepare) -> None:
        self._prepare = prepare
        self._lock = threading.Lock()
        self._stopped = False
        self._start()

    def do(self, job: DraftJob) -> Prepared:
        """Have a submission prepared; one whose process died is tried once more."""
        for _ in range(_TRIES):
            with contextlib.suppress(EOFError, OSError):
                self._pipe.send(job)
                answer: Prepared = self._pipe.recv()
                return answer
            with self._lock:
                if self._stopped:
                    break
                self._process.join()
                self._start()
        return failed(job, DIED)

    def stop(self) -> None:
        """End the process, whatever it does."""
        with self._lock:
            self._stopped = True
            self._process.terminate()
            self._process.join()
            self._pipe.close()

    def _start(self) -> None:
        context = get_context("spawn")  # a fork would take locks of other threads along
        self._pipe, theirs = context.Pipe()
        self._process = context.Process(target=_serve, args=(theirs, self._prepare), daemon=True)
        self._process.start()
        theirs.close()  # or the end of the process would not be seen


def _serve(pipe: Connection[Prepared, DraftJob], prepare: Prepare) -> None:
    # Whoever presses Ctrl-C stops the batch, which ends this process in its own time.
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    # When the other end is gone, by whatever death, there is nobody to work for.
    with contextlib.suppress(EOFError, OSError):
        while True:
            pipe.send(prepare(pipe.recv()))
