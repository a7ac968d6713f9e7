"""Folders beside a review that live while work is under way, and what a crash left in them.

A folder may have been sent along with a review, so what lies in it is looked at as if a stranger
had put it there: links, pipes and folders are not read, sizes are bounded, and one bad file never
costs the others.
"""

from __future__ import annotations

import contextlib
import os
import re
import sqlite3
import sys
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import Final

from app.files import atomic, locks
from app.files.plain import NotPlainError, TooLargeError, check_plain, is_plain_folder
from app.review.values.errors import ReviewError
from app.review.voice import new_id

LOCK: Final = ".lock"
_ID: Final = re.compile(r"[0-9a-f]{32}")
# Whatever hostile words can make of what reads them.
_BAD: Final = (
    ReviewError,
    OSError,
    ValueError,
    TypeError,
    LookupError,
    AttributeError,
    ArithmeticError,
    RecursionError,
    MemoryError,
    sqlite3.Error,
)


class Recovered(tuple[float, ...]):
    """Lengths in seconds of what was recovered.

    Attributes
    ----------
    left : a sentence each for what could not be taken in and lies there still
    """

    left: tuple[str, ...]

    def __new__(cls, lengths_s: Iterable[float] = (), left: Iterable[str] = ()) -> Recovered:
        """Hold lengths, and what was left."""
        made = super().__new__(cls, lengths_s)
        made.left = tuple(left)
        return made


class HeldFolder:
    """A folder beside a review with one recording in it that nobody else may take over.

    Raises
    ------
    OSError
        The folder or the lock cannot be made, or the folder leads elsewhere.
    """

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self._lock: locks.Lock | None = None
        for _ in range(5):
            if _make_folder(folder):
                atomic.sync_folder(folder.parent)
            self.id = new_id()
            try:
                self._lock = locks.take(self.path(LOCK))
            except FileNotFoundError:  # somebody found it empty, and tidied it away
                continue
            except locks.NoLocksError:  # then nobody can take it over either
                return
            if self._lock is not None:
                return
        raise OSError(f"{folder.name} could not be made")

    def path(self, suffix: str) -> Path:
        """The recording's file with this ending."""
        return self.folder / f"{self.id}{suffix}"

    def sync(self) -> None:
        """Make the names in the folder outlive a power cut."""
        atomic.sync_folder(self.folder)

    def let_go(self) -> None:
        """Let others have it."""
        lock, self._lock = self._lock, None
        if lock is not None:
            lock.release()

    def discard(self, *suffixes: str) -> None:
        """Remove the recording's files, and the folder when it is empty then."""
        remove(*(self.path(suffix) for suffix in suffixes))
        self.let_go()
        _remove_empty(self.folder)


def take_in(folder: Path, suffix: str, take_one: Callable[[Path], float]) -> Recovered:
    """Take in, one by one, what a crash left; a living process's is passed over.

    Parameters
    ----------
    suffix : of the file that stands for a recording; its name is an id
    take_one : takes one in and removes its files; gives its length, 0 where nothing was new, as
        where only other files of its name are there
    """
    if not os.path.lexists(folder):
        return Recovered()
    if not is_plain_folder(folder):
        return Recovered(left=[f"{folder.name} is no folder of its own; it was left alone."])
    try:
        names = sorted({entry.name.partition(".")[0] for entry in folder.iterdir()})
    except OSError as error:
        return Recovered(left=[_sentence(folder.name, error)])
    lengths: list[float] = []
    left: list[str] = []
    for name in filter(_ID.fullmatch, names):
        path = folder / f"{name}{suffix}"
        try:
            lengths.append(_take_one_held(path, take_one))
        except _BAD as error:
            left.append(_sentence(path.name, error))
    _remove_empty(folder)
    return Recovered((length for length in lengths if length > 0), left)


def remove(*paths: Path) -> None:
    """Remove files of one folder, for good.

    Raises
    ------
    OSError
        One cannot be removed.
    """
    for path in paths:
        path.unlink(missing_ok=True)
    if paths:
        atomic.sync_folder(paths[0].parent)


def _take_one_held(path: Path, take_one: Callable[[Path], float]) -> float:
    lock = locks.take(path.with_suffix(LOCK))
    if lock is None:
        return 0.0
    try:
        return 0.0 if _held_as_before(path) else take_one(path)
    finally:
        lock.release()


def _held_as_before(path: Path) -> bool:
    """Whether an earlier version writes it, which held the file itself."""
    if not os.path.lexists(path):
        return False
    check_plain(path)
    if sys.platform == "win32":  # they held nothing there
        return False
    else:  # noqa: RET505 - each system is checked by itself, and sees one of the two
        handle = os.open(path, os.O_RDONLY | os.O_NOFOLLOW | os.O_NONBLOCK)
        try:
            return not locks.lock_handle(handle)
        finally:
            os.close(handle)


def _make_folder(folder: Path) -> bool:
    """Whether it had to be made; raises OSError where something else is in its place."""
    with contextlib.suppress(FileExistsError):
        folder.mkdir()
        return True
    if not is_plain_folder(folder):
        raise NotADirectoryError(20, f"{folder.name} is no folder of its own")
    return False


def _remove_empty(folder: Path) -> None:
    with contextlib.suppress(OSError):  # another recording lies there
        folder.rmdir()
        atomic.sync_folder(folder.parent)


def _sentence(name: str, error: BaseException) -> str:
    if isinstance(error, NotPlainError):
        why = "is a link, a folder or a device, not a recording"
    elif isinstance(error, TooLargeError):
        why = "is larger than any recording"
    elif isinstance(error, locks.NoLocksError):
        why = "may still be written by another window, which this disk cannot tell"
    elif isinstance(error, OSError):
        why = f"could not be read ({(error.strerror or 'the system refused').lower()})"
    else:
        why = "could not be taken into the review"
    return f"{name} {why}; it was left where it is."
