"""Whose a temporary file is: its name carries the mark of the process that made it.

While a process lives it holds a lock named like its mark in the user's private folder. A process
that was killed holds nothing any more, so what it left can be told from what another one is still
writing, without asking the clock and whatever became of its number.
"""

from __future__ import annotations

import atexit
import enum
import hashlib
import os
import platform
import re
import secrets
import threading
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from app.files import locks
from app.files.private import private_folder

MARK: Final = r"(?P<mark>[0-9a-f]{8}-[0-9a-f]{12})-[0-9a-f]{8}"
ALIVE: Final = re.compile(r"([0-9a-f]{12})\.alive")


class Owner(enum.Enum):
    """What is known of the process that made a file."""

    LIVING = enum.auto()
    GONE = enum.auto()
    UNKNOWN = enum.auto()  # another machine, or before the last start of this one


@dataclass(frozen=True)
class _Life:
    mark: str
    process: int
    lock: locks.Lock | None


_guard = threading.Lock()
_life: _Life | None = None


def own_name(head: str, tail: str) -> str:
    """Return a file name nobody has, which says that this process made it."""
    return f"{head}-{_mark()}-{secrets.token_hex(4)}{tail}"


def owner_of(mark: str) -> Owner:
    """What became of the process with this mark."""
    place, _, token = mark.partition("-")
    try:
        folder = private_folder()
        if place != _place(folder):
            return Owner.UNKNOWN
        return Owner.LIVING if locks.is_held(folder / f"{token}.alive") else Owner.GONE
    except OSError:
        return Owner.UNKNOWN


def _mark() -> str:
    """The mark of this process; a new one where its lock was taken from it."""
    global _life
    with _guard:
        life = _life
        if life is None or life.process != os.getpid() or _is_lost(life):
            _life = life = _begin()
        return life.mark


def _begin() -> _Life:
    for _ in range(5):
        token = secrets.token_hex(6)
        try:
            folder = private_folder()
            lock = locks.take(folder / f"{token}.alive")
        except OSError:
            break
        if lock is not None:
            atexit.register(_end, lock, os.getpid())
            return _Life(f"{_place(folder)}-{token}", os.getpid(), lock)
    # Nothing can be held here: what carries this mark is nobody's until it is old.
    return _Life(f"{'0' * 8}-{secrets.token_hex(6)}", os.getpid(), None)


def _is_lost(life: _Life) -> bool:
    return life.lock is not None and not life.lock.path.exists()


def _end(lock: locks.Lock, process: int) -> None:
    if process == os.getpid():
        lock.release()


def _place(folder: Path) -> str:
    """Tell this machine and its private folder from others that write into the same folder."""
    at = folder.stat()
    told = f"{platform.node()}|{folder}|{at.st_dev}|{at.st_ino}"
    return hashlib.sha256(told.encode()).hexdigest()[:8]
