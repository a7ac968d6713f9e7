"""Telling footage from a force recording."""

from __future__ import annotations

import codecs
import os
from itertools import islice
from pathlib import Path
from typing import Final, Literal

from app.review.recordings.fingerprint import open_regular
from app.review.values.errors import ReviewError

Kind = Literal["video", "trace"]

# Tables that are no text as they lie; what of them lies in a folder is offered like text.
SHEET_ENDINGS: Final = frozenset({".xlsx", ".xlsm", ".xls", ".ods", ".c3d"})
TABLE_ENDINGS: Final = SHEET_ENDINGS | {".json", ".jsonl", ".ndjson", ".gz", ".zip", ".parquet"}
# A zip archive, gzip, an old office document, Parquet: no film begins so.
_TABLE_HEADS: Final = (b"PK\x03\x04", b"PK\x05\x06", b"\x1f\x8b", b"\xd0\xcf\x11\xe0", b"PAR1")
TEXT_ENDINGS: Final = frozenset({".csv", ".txt", ".tsv", ".tab", ".dat", ".asc"})
# What phones, cameras and messengers call their films.
FILM_ENDINGS: Final = frozenset(
    {".mp4", ".mov", ".m4v", ".avi", ".mkv", ".webm", ".3gp", ".mts", ".m2ts", ".mpg", ".mpeg",
     ".wmv", ".ts"}
)  # fmt: skip
_HEAD_BYTES: Final = 4096
_MOST_ENTRIES: Final = 5000


def kind_of(path: Path) -> Kind:
    """Tell footage from a force recording: by what is in the file, then by its ending."""
    if is_trace_name(path):
        return "trace"
    try:
        with open_regular(path) as file:
            head = file.read(_HEAD_BYTES)
    except ReviewError:
        return "video"  # opening it as footage says what is wrong with it
    if head.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
        return "trace"
    if head.startswith(_TABLE_HEADS):
        return "trace"
    return "video" if not head or b"\0" in head or not _is_text(head) else "trace"


def is_trace_name(path: Path) -> bool:
    """Whether a file's ending says a table."""
    return path.suffix.lower() in TEXT_ENDINGS | TABLE_ENDINGS


def recordings_in(folder: Path, most: int = _MOST_ENTRIES) -> list[Path]:
    """Give the films, force files and reviews that lie in a folder, by name; not what is deeper.

    By their endings alone: nothing is opened, and of a very full folder only the first are given.

    Parameters
    ----------
    most : entries of the folder that are looked at
    """
    found = []
    with os.scandir(folder) as entries:
        for entry in islice(entries, most):
            path = Path(entry.path)
            wanted = path.suffix.lower() in FILM_ENDINGS | TEXT_ENDINGS | SHEET_ENDINGS | {
                ".review"
            }
            if wanted and not entry.name.startswith(".") and _is_file(entry):
                found.append(path)
    return sorted(found)


def _is_file(entry: os.DirEntry[str]) -> bool:
    try:
        return entry.is_file()
    except OSError:  # a link to itself
        return False


def _is_text(head: bytes) -> bool:
    control = sum(byte < 32 and byte not in b"\t\n\r\f\x1a" for byte in head)
    return control == 0
