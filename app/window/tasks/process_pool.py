"""Work in a child process: what loops in Python would otherwise take the window's turns.

The child is of low priority, so it never starves the picture. One that has done its work is kept
for the next (two at most); one that is no longer wanted is ended at once. A child whose window is
gone ends by itself, because its input closes; see `aside_child`.
"""

from __future__ import annotations

import contextlib
import os
import pickle
import queue
import struct
import subprocess
import sys
import threading
from collections.abc import Callable
from pathlib import Path
from typing import IO, Any

LOST = (
    "The work was ended from outside, perhaps because the memory ran out; nothing was changed. "
    "Close other programs and try again."
)
NOT_STARTED = "No second process could be started ({why}); nothing was changed. Try again later."
MOST_SPARE = 2  # opening a submission looks at the footage and lines it up at the same time
_LOOK_S = 0.05  # how soon a wish to stop is noticed
_TIDY_S = 1.5  # how long a child may take to throw its temporary files away
_COUNT = struct.Struct("<I")
_LENGTH = struct.Struct("<Q")

Progress = Callable[[float, str], None]
Cancelled = Callable[[], bool]


class AsideError(ValueError):
    """The child could not work; the message says what to do."""


class AsideStopped(ValueError):
    """The work was stopped on request."""


class AsideFault(RuntimeError):
    """A fault of the program in the child; the message holds its traceback."""


class ProcessPool:
    """Calls functions in child processes; safe to use from several threads.

    Each call has a child to itself.
    """

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._spare: list[_Child] = []
        self._busy: set[_Child] = set()
        self._closed = False

    def prepare(self) -> None:
        """Start the children that opening a submission needs, while nobody waits for them."""
        for _ in range(MOST_SPARE):
            with self._lock:
                if self._closed or len(self._spare) + len(self._busy) >= MOST_SPARE:
                    return
                # What hinders it is said when a child is needed.
                with contextlib.suppress(AsideError):
                    self._spare.append(_Child())

    def call(
        self,
        function: str,
        args: tuple[object, ...],
        progress: Progress,
        cancelled: Cancelled,
    ) -> Any:
        """Call `module:name` in a child, with a last argument that reports progress, and wait.

        Parameters
        ----------
        args : what it is called with; must be such that it can be pickled
        progress : called with a share from 0 to 1 and a text
        cancelled : asked twenty times a second; True ends the child

        Raises
        ------
        AsideStopped
            `cancelled` said so.
        AsideError
            The child could not be started, or was ended from outside.
        AsideFault
            It failed by a fault of ours.
        Exception
            A ValueError or OSError the function raised, as it raised it.
        """
        if cancelled():
            raise AsideStopped
        child = self._take()
        whole = False
        try:
            child.ask((function, args))
            kind, value = child.answer(progress, cancelled)
            whole = True
        finally:
            self._give_back(child, whole)
        if kind == "failed":
            raise value
        if kind == "fault":
            raise AsideFault(value)
        return value

    def close(self) -> None:
        """End all children."""
        with self._lock:
            self._closed = True
            children = [*self._busy, *self._spare]
            self._spare = []
        for child in children:  # all end at once, not one after the other
            child.let_go()
        for child in children:
            child.end()

    @property
    def children(self) -> tuple[int, ...]:
        """Process numbers of the children that live."""
        with self._lock:
            all_of_them = [*self._busy, *self._spare]
        return tuple(child.number for child in all_of_them if child.lives)

    def _take(self) -> _Child:
        with self._lock:
            child: _Child | None = None
            while self._spare and child is None:
                child = self._spare.pop()
                if not child.lives:
                    child.end()
                    child = None
            child = child or _Child()
            self._busy.add(child)
            return child

    def _give_back(self, child: _Child, whole: bool) -> None:
        with self._lock:
            self._busy.discard(child)
            if whole and len(self._spare) < MOST_SPARE and child.lives:
                self._spare.append(child)
                return
        child.end()


class _Child:
    """One child process and the thread that hears what it says."""

    def __init__(self) -> None:
        try:
            self._process = _start()
        except OSError as error:
            raise AsideError(NOT_STARTED.format(why=error.strerror or "no reason given")) from None
        self._said: queue.SimpleQueue[tuple[Any, ...] | None] = queue.SimpleQueue()
        self._ending = threading.Lock()
        threading.Thread(target=self._hear, name="process pool", daemon=True).start()

    @property
    def number(self) -> int:
        """Of the process."""
        return self._process.pid

    @property
    def lives(self) -> bool:
        """Whether the process runs."""
        return self._process.poll() is None

    def ask(self, request: object) -> None:
        """Hand it what to do."""
        assert self._process.stdin is not None
        try:
            send(self._process.stdin, request)
        except (OSError, ValueError):
            raise AsideError(LOST) from None

    def answer(self, progress: Progress, cancelled: Cancelled) -> tuple[str, Any]:
        """Wait for its answer: ("done", result), ("failed", exception) or ("fault", traceback)."""
        while not cancelled():
            with contextlib.suppress(queue.Empty):
                said = self._said.get(timeout=_LOOK_S)
                if said is None:
                    # Ended in the closing of the window, or from outside.
                    raise AsideStopped if cancelled() else AsideError(LOST)
                if said[0] != "progress":
                    return said[0], said[1]
                progress(said[1], said[2])
        raise AsideStopped

    def let_go(self) -> None:
        """Tell it to end, and go on."""
        if self._process.stdin is not None:
            with contextlib.suppress(OSError):
                self._process.stdin.close()

    def end(self) -> None:
        """End the process and wait until it is gone, so that none is left behind."""
        with self._ending:
            self.let_go()
            try:
                self._process.wait(_TIDY_S)
            except subprocess.TimeoutExpired:
                self._process.kill()
                self._process.wait()

    def _hear(self) -> None:
        stream = self._process.stdout
        assert stream is not None
        with contextlib.closing(stream), contextlib.suppress(EOFError, OSError):
            while True:
                self._said.put(receive(stream))
        self._said.put(None)


def send(stream: IO[bytes], value: object) -> None:
    """Write a value; long arrays go as they are, so that no thread waits while they are copied."""
    buffers: list[pickle.PickleBuffer] = []
    head = pickle.dumps(value, protocol=5, buffer_callback=buffers.append)
    parts = [memoryview(head), *(buffer.raw() for buffer in buffers)]
    stream.write(_COUNT.pack(len(parts)) + b"".join(_LENGTH.pack(part.nbytes) for part in parts))
    for part in parts:
        stream.write(part)
    stream.flush()


def receive(stream: IO[bytes]) -> Any:
    """Read what `send` wrote.

    Raises
    ------
    EOFError
        The other side is gone.
    """
    (count,) = _COUNT.unpack(_read(stream, _COUNT.size))
    lengths = [_LENGTH.unpack(_read(stream, _LENGTH.size))[0] for _ in range(count)]
    head, *buffers = [_read(stream, length) for length in lengths]
    return pickle.loads(head, buffers=buffers)


def _read(stream: IO[bytes], length: int) -> bytearray:
    data = bytearray(length)
    view, at = memoryview(data), 0
    while at < length:
        got = stream.readinto(view[at:])  # type: ignore[attr-defined]
        if not got:
            raise EOFError
        at += got
    return data


def _start() -> subprocess.Popen[bytes]:
    root = str(Path(__file__).resolve().parents[2])
    known = os.environ.get("PYTHONPATH")
    environment = os.environ | {"PYTHONPATH": os.pathsep.join([root, *([known] if known else [])])}
    return subprocess.Popen(
        [sys.executable, "-m", "app.window.tasks.process_child"],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        env=environment,
        creationflags=getattr(subprocess, "BELOW_NORMAL_PRIORITY_CLASS", 0),
    )
