"""A name in a folder that nobody has yet."""

from __future__ import annotations

import contextlib
import itertools
import os
from collections.abc import Iterator
from pathlib import Path
from typing import Final

from app.files.atomic import create

_LONGEST: Final = 80  # characters of the old name in the new one
_MOST_BYTES: Final = 190  # of them; a name has 255 at most, and SQLite puts one beside it


def short_stem(path: Path) -> str:
    """What of a file's name a name made after it begins with; 80 characters can be 320 bytes."""
    stem = path.stem[:_LONGEST]
    while len(stem.encode("utf-8", "surrogatepass")) > _MOST_BYTES:
        stem = stem[:-1]
    return stem


def free_name(path: Path, words: str) -> Path:
    """Give a name beside a file, such as "piece (changed elsewhere 2).review".

    Parameters
    ----------
    words : stand in the brackets
    """
    for count in itertools.count(1):
        again = f" {count}" if count > 1 else ""
        free = path.with_name(f"{short_stem(path)} ({words}{again}){path.suffix or '.review'}")
        if not os.path.lexists(free):
            break
    return free


@contextlib.contextmanager
def held_name(path: Path, words: str) -> Iterator[Path]:
    """Hold a free name by an empty file, which is to be replaced; it goes where that fails.

    Two windows that look for a name at one moment would find the same one, and the later copy
    would take the place of the earlier.

    Raises
    ------
    OSError
        Nothing can be made there.
    """
    while True:
        free = free_name(path, words)
        with contextlib.suppress(FileExistsError):
            os.close(create(free))
            break
    try:
        yield free
    except BaseException:
        with contextlib.suppress(OSError):
            if free.stat().st_size == 0:
                free.unlink()
        raise
