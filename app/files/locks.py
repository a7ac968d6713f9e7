"""Locks that the system gives back when the process that holds them ends, however it ends.

A lock is a small file of its own beside what it guards: on Windows a locked file can be read by
nobody else, and what it guards must stay readable.
"""

from __future__ import annotations

import contextlib
import os
import stat
import sys
from dataclasses import dataclass
from pathlib import Path
from typing import Final

_FLAGS: Final = (
    os.O_CREAT
    | getattr(os, "O_NOFOLLOW", 0)  # somebody else's file is never held through a link
    | getattr(os, "O_NONBLOCK", 0)  # a pipe in its place must not be waited for
    | getattr(os, "O_BINARY", 0)
)
_TRIES: Final = 5


class NoLocksError(OSError):
    """The system or the disk knows no locks: who works on a file cannot be told."""


@dataclass(frozen=True)
class Lock:
    """A lock that is held until `release`, or until the process ends."""

    path: Path
    handle: int

    def release(self) -> None:
        """Give it back and take its file away; once only."""
        if sys.platform != "win32":
            # While it is held: nobody can have taken the file that goes.
            with contextlib.suppress(OSError):
                self.path.unlink()
            os.close(self.handle)
        else:
            os.close(self.handle)
            with contextlib.suppress(OSError):  # the next one has it already
                self.path.unlink()


def take(path: Path) -> Lock | None:
    """Hold a lock file, which is made where there is none; None where another one holds it.

    Raises
    ------
    NoLocksError
        The system or the disk knows no locks.
    OSError
        The file cannot be made, or is no plain file.
    """
    for _ in range(_TRIES):
        handle = _open(path)
        try:
            if not stat.S_ISREG(os.fstat(handle).st_mode):
                raise OSError(f"{path.name} is no plain file")
            if not lock_handle(handle):
                os.close(handle)
                return None
        except OSError as error:
            os.close(handle)
            if isinstance(error, NoLocksError):  # then it is of no use to anybody
                path.unlink(missing_ok=True)
            raise
        if _is_at(handle, path):
            return Lock(path, handle)
        os.close(handle)  # who held it before took the file away in between
    return None


def is_held(path: Path) -> bool:
    """Whether a living process holds a lock file; makes none and removes none.

    Raises
    ------
    OSError
        As `take`.
    """
    if not os.path.lexists(path):
        return False
    lock = take(path)
    if lock is None:
        return True
    os.close(lock.handle)
    return False


def lock_handle(handle: int) -> bool:
    """Hold an open file if nobody else does; closing it gives it back.

    Raises
    ------
    NoLocksError
        The system or the disk knows no locks.
    """
    from filelock import lock_descriptor

    try:
        return lock_descriptor(handle, blocking=False)
    except OSError as error:
        raise NoLocksError(error.errno, "locks are not known there") from error


def _open(path: Path) -> int:
    try:
        return os.open(path, os.O_RDWR | _FLAGS, 0o666)
    except PermissionError:  # of another user; reading is enough to ask
        return os.open(path, os.O_RDONLY | (_FLAGS & ~os.O_CREAT))


def _is_at(handle: int, path: Path) -> bool:
    try:
        return os.path.samestat(os.fstat(handle), path.lstat())
    except OSError:
        return False
