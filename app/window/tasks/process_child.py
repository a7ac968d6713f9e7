"""The child process of `process_pool`.

It takes requests from its input, answers on its output, and ends when its input closes.
"""

from __future__ import annotations

import _thread
import importlib
import os
import queue
import signal
import sys
import threading
import time
import traceback
from typing import IO, Any

from app.window.tasks.process_pool import receive, send

_TELL_S = 0.1  # how often progress is told
_NICE = 10
_TIDY_S = 1.0  # for work that is cut off to throw its temporary files away

_working = threading.Event()


def main() -> None:
    """Answer requests until the window is gone."""
    if hasattr(os, "nice"):
        os.nice(_NICE)
    # Begun by a program that ignores it, so would this one, and could not be cut off tidily.
    signal.signal(signal.SIGINT, signal.default_int_handler)
    answers = _own_output()
    requests: queue.SimpleQueue[tuple[str, tuple[Any, ...]]] = queue.SimpleQueue()
    threading.Thread(target=_take, args=(requests,), daemon=True).start()
    while True:
        request = requests.get()
        _working.set()
        send(answers, _worked(*request, answers))
        _working.clear()


def _own_output() -> IO[bytes]:
    """The pipe for answers; what a library prints goes elsewhere."""
    answers = os.fdopen(os.dup(sys.stdout.fileno()), "wb")
    os.dup2(sys.stderr.fileno(), sys.stdout.fileno())
    return answers


def _take(requests: queue.SimpleQueue[tuple[str, tuple[Any, ...]]]) -> None:
    try:
        while True:
            requests.put(receive(sys.stdin.buffer))
    except (EOFError, OSError):
        if _working.is_set():
            _thread.interrupt_main()
            time.sleep(_TIDY_S)
        os._exit(0)


def _worked(function: str, args: tuple[Any, ...], answers: IO[bytes]) -> tuple[str, object]:
    told_s = 0.0

    def progress(share: float, text: str = "") -> None:
        nonlocal told_s
        now = time.monotonic()
        if now - told_s >= _TELL_S or share >= 1.0:
            told_s = now
            send(answers, ("progress", share, text))

    try:
        module, _, name = function.partition(":")
        return "done", getattr(importlib.import_module(module), name)(*args, progress)
    except (ValueError, OSError) as error:
        return "failed", error
    except Exception:  # noqa: BLE001 - told to the window whole
        return "fault", traceback.format_exc()


if __name__ == "__main__":
    main()
