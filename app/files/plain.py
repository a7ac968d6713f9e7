"""Reading from a folder that anybody may have filled: plain files only, and no more than asked."""

from __future__ import annotations

import os
import stat
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import BinaryIO, Final

# The bit of all tags that stand for another place; a file kept in a cloud has a tag without it.
_ELSEWHERE: Final = 0x2000_0000
_FLAGS: Final = (
    os.O_RDONLY
    | getattr(os, "O_NOFOLLOW", 0)
    | getattr(os, "O_NONBLOCK", 0)
    | getattr(os, "O_BINARY", 0)
)


class NotPlainError(OSError):
    """It is a link, a pipe, a device or a folder."""


class TooLargeError(OSError):
    """It is larger than anything that belongs there."""


@contextmanager
def open_plain(path: Path, most_bytes: int) -> Iterator[BinaryIO]:
    """Open a plain file of at most so many bytes; never waits for anybody.

    Raises
    ------
    NotPlainError
        It is a link, a pipe, a device or a folder.
    TooLargeError
        It is larger.
    OSError
        It cannot be read.
    """
    # Asked before it is opened as well: opening alone makes some devices do something.
    _check(path, path.lstat(), most_bytes)
    with os.fdopen(os.open(path, _FLAGS), "rb") as file:
        _check(path, os.fstat(file.fileno()), most_bytes)
        yield file


def read_plain(path: Path, most_bytes: int) -> bytes:
    """Read a plain file; errors as `open_plain`."""
    with open_plain(path, most_bytes) as file:
        data = file.read(most_bytes + 1)
    if len(data) > most_bytes:  # it grew meanwhile
        raise TooLargeError(f"{path.name} is larger than {most_bytes} bytes")
    return data


def is_plain_file(path: Path) -> bool:
    """Whether it is a file itself, and no link to one."""
    try:
        check_plain(path)
    except OSError:
        return False
    return True


def is_plain_folder(path: Path) -> bool:
    """Whether it is a folder itself, and no link to one."""
    try:
        found = path.lstat()
    except OSError:
        return False
    return stat.S_ISDIR(found.st_mode) and not is_reparse_point(found)


def is_reparse_point(found: os.stat_result) -> bool:
    """Whether it leads elsewhere on Windows, where a junction calls itself a folder."""
    return bool(getattr(found, "st_reparse_tag", 0) & _ELSEWHERE)


def check_plain(path: Path) -> None:
    """Raise NotPlainError for a link, a pipe, a device or a folder; OSError where nothing is."""
    _check(path, path.lstat(), None)


def _check(path: Path, found: os.stat_result, most_bytes: int | None) -> None:
    if not stat.S_ISREG(found.st_mode) or is_reparse_point(found):
        raise NotPlainError(f"{path.name} is no plain file")
    if most_bytes is not None and found.st_size > most_bytes:
        raise TooLargeError(f"{path.name} is larger than {most_bytes} bytes")
