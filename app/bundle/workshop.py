"""The folder a bundle is built in, and what becomes of it when the building is killed."""

from __future__ import annotations

import contextlib
import os
import re
import secrets
import shutil
import stat
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Final

from app.files import locks
from app.files.private import is_mine

OLD: Final = ".old"  # ends the name of an older bundle that was moved aside into a workshop
_PART: Final = ".part"
_LOCK: Final = ".lock"
_WHOLE_NAME: Final = 60
_WORKSHOP: Final = re.compile(r"\.(?P<name>.{1,60})\.[0-9a-f]{8}\.part", re.DOTALL)
_FRESH_S: Final = 60.0


@contextmanager
def workshop(out: Path) -> Iterator[Path]:
    """Give an empty folder beside `out` to build in; it is gone when the block ends."""
    parent = out.parent
    parent.mkdir(parents=True, exist_ok=True)
    clear_abandoned(parent, out.name[:_WHOLE_NAME])
    folder = parent / f".{out.name[:_WHOLE_NAME]}.{secrets.token_hex(4)}{_PART}"
    folder.mkdir()
    lock: locks.Lock | None = None
    with contextlib.suppress(locks.NoLocksError):  # then nobody takes it for abandoned
        lock = locks.take(folder / _LOCK)
    try:
        yield folder
    finally:
        if lock is not None:
            lock.release()
        shutil.rmtree(folder, ignore_errors=True)


def clear_abandoned(folder: Path, name: str = "") -> None:
    """Remove what writings into a folder left when they were killed: footage must not lie about.

    Parameters
    ----------
    name : the bundle's, as far as a workshop carries it; "" for any that surely is a workshop
    """
    with contextlib.suppress(OSError):
        for left in folder.iterdir():
            named = _WORKSHOP.fullmatch(left.name)
            if named is None:
                continue
            if named["name"] == name or (not name and os.path.lexists(left / _LOCK)):
                with contextlib.suppress(OSError):
                    _clear_if_abandoned(left, named["name"])


def _clear_if_abandoned(left: Path, name: str) -> None:
    found = left.lstat()
    if not stat.S_ISDIR(found.st_mode) or not is_mine(found):
        return
    is_empty = all(entry.name == _LOCK for entry in left.iterdir())
    if is_empty and time.time() - found.st_mtime < _FRESH_S:
        return  # perhaps just made, and not yet held
    lock = locks.take(left / _LOCK)
    if lock is None:
        return
    try:
        keeps_old = _bring_back(left, name)
    finally:
        lock.release()
    if not keeps_old:
        shutil.rmtree(left, ignore_errors=True)


def _bring_back(left: Path, name: str) -> bool:
    """Give an older bundle its place again that was moved aside when the writing was killed.

    Returns
    -------
    bool
        Whether one is still in there, because its name is longer than what is known of it.
    """
    out = left.with_name(name)
    for old in left.glob(f"*{OLD}"):
        if len(name) == _WHOLE_NAME:
            return True
        if not out.exists():
            old.rename(out)
    return False
