"""The list of contents of a .zip from anybody, looked at before anything reads it."""

from __future__ import annotations

import os
import struct
import zipfile
from typing import BinaryIO, Final

_END: Final = b"PK\x05\x06"
_LOCATOR: Final = b"PK\x06\x07"  # of a second list for very many files, which would count instead


class ZipListError(ValueError):
    """Its list of contents is made to fill the memory; the message says how, without a subject."""


def check_list(file: BinaryIO, most_entries: int, most_bytes: int) -> None:
    """Refuse a list of contents that would fill the memory; the file stands at its start then.

    Parameters
    ----------
    most_entries : how many files it may list
    most_bytes : how long the list may be

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
    if tail[max(0, at - 20) : at].startswith(_LOCATOR):
        raise ZipListError("lists its files")
    entries, listed = struct.unpack("<10xHI", tail[at : at + 16])
    if entries > most_entries or listed > most_bytes:
        raise ZipListError("lists more files")
    file.seek(0)
