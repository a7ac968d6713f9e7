"""Tidying away what processes left that were killed: footage and notes should not lie about.

Only what carries our own kind of name, belongs to this user and has no living owner. Where an
owner cannot be known - another machine, the time before the last start, an earlier version - what
nobody touched for a day counts as left.
"""

from __future__ import annotations

import contextlib
import os
import re
import stat
import tempfile
import time
from collections.abc import Iterable
from pathlib import Path
from typing import Final

from app.files import locks
from app.files.alive import ALIVE, MARK, Owner, owner_of
from app.files.private import is_mine, private_folder

MOMENT_S: Final = 10.0
LONG_S: Final = 24 * 3600.0
# A database keeps files of its own beside the one it writes.
_PART: Final = re.compile(rf"\..*-{MARK}\.part(\.\w+)?(-journal|-wal|-shm)?", re.DOTALL)
_FILM: Final = re.compile(rf"strokeside-{MARK}\.mp4")
# Names that earlier versions gave.
_OLD_FILM: Final = re.compile(r"strokeside-\w{8}\.mp4")
_OLD_SETTINGS: Final = re.compile(r"\.(settings|templates)\w{8}")


def at_start(folders: Iterable[Path] = ()) -> None:
    """Tidy the temporary files, and folders of the user's settings and data."""
    with contextlib.suppress(OSError):
        private = private_folder()
        in_folder(private, _FILM, _PART)
        _clear_lives(private)
    in_folder(Path(tempfile.gettempdir()), _OLD_FILM)
    for folder in folders:
        in_folder(folder, _PART, _OLD_SETTINGS)


def beside(review: Path) -> None:
    """Tidy what a saving or writing left beside a review when it was killed."""
    stem = re.escape(review.stem)
    saving = re.compile(rf"\.{re.escape(review.stem[:40])}-\w{{8}}\.part(-journal)?")
    keeping = re.compile(rf"\.{stem}\.schema-\d+(-\d+)?{re.escape(review.suffix)}\.part")
    in_folder(review.parent, _PART, saving, keeping)


def in_folder(folder: Path, *names: re.Pattern[str]) -> None:
    """Remove the plain files of such names in a folder that nobody living is writing."""
    with contextlib.suppress(OSError), os.scandir(folder) as entries:
        for entry in entries:
            found = next(filter(None, (name.fullmatch(entry.name) for name in names)), None)
            if found is not None:
                _remove_if_left(Path(entry.path), found.groupdict().get("mark"))


def _remove_if_left(path: Path, mark: str | None) -> None:
    with contextlib.suppress(OSError):
        found = path.lstat()
        if not stat.S_ISREG(found.st_mode) or not is_mine(found):
            return
        untouched_s = time.time() - max(found.st_mtime, found.st_atime)
        owner = Owner.UNKNOWN if mark is None else owner_of(mark)
        if untouched_s > (MOMENT_S if owner is Owner.GONE else LONG_S) and (
            owner is not Owner.LIVING
        ):
            path.unlink()


def _clear_lives(private: Path) -> None:
    """Remove the marks of processes that are gone."""
    for path in private.iterdir():
        if ALIVE.fullmatch(path.name):
            with contextlib.suppress(OSError):
                lock = locks.take(path)
                if lock is not None:
                    lock.release()
