"""The list of contents of a .zip from anybody, looked at before anything reads it."""

from __future__ import annotations

import errno
import os
import stat
import struct
import zipfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import BinaryIO, Final

from app.files.plain import NotPlainError

_END: Final = b"PK\x05\x06"
_LOCATOR: Final = b"PK\x06\x07"  # of a second end for large archives, which counts instead
_LARGE_END: Final = b"PK\x06\x06"
_LARGE: Final = struct.Struct("<4s20xQQQ")  # what is asked of that: entries, bytes and place


class ZipListError(ValueError):
    """Its list of contents is made to fill the memory; the message says how, without a subject."""


@contextmanager
def opened_zip(path: Path, most_entries: int, most_bytes: int) -> Iterator[zipfile.ZipFile]:
    """Open a .zip from anybody, also a large one; never waits for anybody.

    Parameters
    ----------
    most_entries, most_bytes : as `check_list`

    Raises
    ------
    OSError
        It cannot be read, or is a pipe, a device or a folder.
    ZipListError, BadZipFile
        As `check_list`.
    """
    flags = os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0)
    with os.fdopen(os.open(path, flags), "rb") as file:
        if not stat.S_ISREG(os.fstat(file.fileno()).st_mode):
            raise NotPlainError(errno.EINVAL, "It is no file")
        check_list(file, most_entries, most_bytes, large=True)
        with zipfile.ZipFile(file) as archive:
            yield archive


def check_list(file: BinaryIO, most_entries: int, most_bytes: int, *, large: bool = False) -> None:
    """Refuse a list of contents that would fill the memory; the file stands at its start then.

    Parameters
    ----------
    most_entries : how many files it may list
    most_bytes : how long the list may be
    large : whether archives of more than 4 GB come in question

    Raises
    ------
    ZipListError
        It lists more, or in a way that small archives never do.
    BadZipFile
        It has no such list.
    """
    size = file.seek(0, os.SEEK_END)
    file.seek(max(0, size - 66_000))
    tail = file.read()
    at = tail.rfind(_END)
    if at < 0 or len(tail) < at + 22:
        raise zipfile.BadZipFile
    entries, listed = struct.unpack("<10xHI", tail[at : at + 16])
    if tail[max(0, at - 20) : at].startswith(_LOCATOR):
        if not large:
            raise ZipListError("lists its files")
        entries, listed = _large_list(tail[max(0, at - 76) : at], size - len(tail) + at - 76)
    if entries > most_entries or listed > most_bytes:
        raise ZipListError("lists more files")
    file.seek(0)


def _large_list(data: bytes, at: int) -> tuple[int, int]:
    """Entries and bytes of the list of a large archive.

    Parameters
    ----------
    data : its second end and the locator behind it, and nothing between them
    at : where that end has to lie, for each reader looks for it in its own way
    """
    if len(data) != 76 or not data.startswith(_LARGE_END):
        raise ZipListError("lists its files")
    (told,) = struct.unpack("<8xQ4x", data[56:])
    if told != at:
        raise ZipListError("lists its files")
    _, here, entries, listed = _LARGE.unpack(data[: _LARGE.size])
    return max(here, entries), listed
