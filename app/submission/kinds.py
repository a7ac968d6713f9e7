"""Telling footage from a force recording."""

from __future__ import annotations

import codecs
import os
from collections.abc import Sequence
from itertools import islice
from pathlib import Path, PurePath
from typing import Final, Literal

from analysis.force.endings import JSON, READ, RECORDED, SHEETS, TABLES, TEXT
from app.review.recordings.fingerprint import open_regular
from app.review.values.errors import ReviewError

Kind = Literal["video", "trace"]

# Tables plain to see: offered wherever they lie. JSON and what is packed are often something else.
PLAIN_TABLES: Final = TEXT | SHEETS | RECORDED
# A zip archive, gzip, an old office document, Parquet: no film begins so.
_TABLE_HEADS: Final = (b"PK\x03\x04", b"PK\x05\x06", b"\x1f\x8b", b"\xd0\xcf\x11\xe0", b"PAR1")
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
    return path.suffix.lower() in READ


def is_recording_name(path: Path) -> bool:
    """Whether a file's ending says a film or a table that can be read here."""
    return is_trace_name(path) or path.suffix.lower() in FILM_ENDINGS


def of_a_submission(names: Sequence[PurePath]) -> frozenset[PurePath]:
    """Give the films and force files among files that lie together, by their endings.

    JSON and tables packed with gzip count only where no plain table lies beside them: they are
    more often notes of a program than the force.
    """
    films = {name for name in names if name.suffix.lower() in FILM_ENDINGS}
    tables = {name for name in names if name.suffix.lower() in PLAIN_TABLES}
    return frozenset(films | (tables or {name for name in names if _may_be_table(name)}))


def _may_be_table(name: PurePath) -> bool:
    ending = name.suffix.lower()
    return ending in JSON or (ending == ".gz" and PurePath(name.stem).suffix.lower() in TABLES)


def recordings_in(folder: Path, most: int = _MOST_ENTRIES) -> list[Path]:
    """Give the films, force files and reviews that lie in a folder, by name; not what is deeper.

    By their endings alone: nothing is opened, and of a very full folder only the first are given.

    Parameters
    ----------
    most : entries of the folder that are looked at
    """
    there = []
    with os.scandir(folder) as entries:
        for entry in islice(entries, most):
            path = Path(entry.path)
            if not entry.name.startswith(".") and _is_file(entry):
                there.append(path)
    recordings = of_a_submission(there)
    return sorted(p for p in there if p in recordings or p.suffix.lower() == ".review")


def _is_file(entry: os.DirEntry[str]) -> bool:
    try:
        return entry.is_file()
    except OSError:  # a link to itself
        return False


def _is_text(head: bytes) -> bool:
    control = sum(byte < 32 and byte not in b"\t\n\r\f\x1a" for byte in head)
    return control == 0
