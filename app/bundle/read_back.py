"""What a bundle or a file of answers says, read as if a stranger had made it.

Nothing is ever unpacked to the disk, no link is followed out of a folder, and of a .zip only the
two kinds of entries that are wanted are read, up to a bound: a name in it leads nowhere, and a
small entry that swells is stopped.
"""

from __future__ import annotations

import os
import re
import stat
import struct
import zipfile
import zlib
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any, BinaryIO

from app.bundle.record import VERSION
from app.bundle.wording.errors import BundleError
from app.bundle.wording.format_name import FORMAT
from app.files.zips import ZipListError, check_list
from app.review.answers import (
    FORMAT_KEY,
    MOST_BYTES,
    harmless,
    holds_answers,
    load_json,
    parse_answers,
)
from app.review.parts.answers import AthleteAnswers
from app.review.values.errors import ReviewError

_MOST_RECORD_BYTES = 16_000_000
_DEEPEST_RECORD = 24
_MOST_NOTES = 1_000
_LONGEST_TEXT = 10_000
_LONGEST_LINE = 300
# A bundle has some hundred files; a list of contents beyond this is meant to fill the memory.
_MOST_ENTRIES = 5_000
_MOST_LIST_BYTES = 2_000_000
_RECORD = re.compile(r"review\.json")
_ANSWERS = re.compile(r"answers[^/]{0,80}\.json", re.IGNORECASE)


@dataclass(frozen=True)
class RecordNote:
    """One note of a bundle: its number on the page, id, moment and words."""

    number: int
    id: str
    video_s: float | None
    phase: str
    text: str


@dataclass(frozen=True)
class BundleRecord:
    """What a bundle says of itself.

    Attributes
    ----------
    answers : those that lie in it, or None
    remarks : what was left out, as sentences
    """

    title: str
    athlete: str
    draft: bool
    notes: tuple[RecordNote, ...] = ()
    answers: AthleteAnswers | None = None
    remarks: tuple[str, ...] = ()


def read_answers_file(path: Path) -> tuple[AthleteAnswers, tuple[str, ...]]:
    """Read an athlete's answers from a .json file.

    Returns
    -------
    AthleteAnswers, sentences
        What could be read, and what was left out.

    Raises
    ------
    BundleError
        It cannot be read or holds no answers.
    """
    path = Path(path)
    with _sentences(path.name):
        return parse_answers(_read_file(path, MOST_BYTES, follow_link=True), harmless(path.name))


def read_bundle(path: Path) -> BundleRecord:
    """Read the record and the answers of a bundle: a folder or a .zip.

    Raises
    ------
    BundleError
        It is no bundle, or made to do harm; the message is one sentence.
    """
    path = Path(path)
    with _sentences(path.name):
        record, answers = _from_folder(path) if path.is_dir() else _from_zip(path)
        return _record(record, answers, harmless(path.name))


def is_sent_back(path: Path) -> bool:
    """Whether something is a bundle or answers to one, rather than recordings; opens no more of it.

    A folder or .zip with a record, a text in which answers lie. What cannot be read is none.
    """
    path = Path(path)
    try:
        if path.is_dir():
            return os.path.lexists(path / "review.json")
        if path.suffix.lower() == ".zip":
            return _holds_record(path)
        if path.suffix.lower() not in {".json", ".txt"}:
            return False
        data = _read_file(path, MOST_BYTES, follow_link=True)
        return holds_answers(data) or f'"{FORMAT_KEY}"'.encode() in data
    except (BundleError, OSError, zipfile.BadZipFile, ValueError, struct.error):
        return False


def _holds_record(path: Path) -> bool:
    if not stat.S_ISREG(path.stat().st_mode):
        return False
    with path.open("rb") as file:
        _check_list(file, path.name)
        with zipfile.ZipFile(file) as archive:
            return _entry(archive.infolist(), _RECORD) is not None


@contextmanager
def _sentences(name: str) -> Iterator[None]:
    name = harmless(name)
    try:
        yield
    except BundleError:
        raise
    except ReviewError as error:
        raise BundleError(str(error)) from None
    except OSError as error:
        reason = (error.strerror or "the system refused").lower()
        raise BundleError(f"{name} could not be read: {reason}.") from None
    except (zipfile.BadZipFile, zlib.error, EOFError, RuntimeError, ValueError, struct.error):
        # RuntimeError: an entry under a password, or packed in a way nobody here knows.
        raise BundleError(
            f"{name} is damaged, locked or no feedback bundle; nothing was changed. "
            "Ask for it again."
        ) from None


def _from_folder(folder: Path) -> tuple[bytes, bytes | None]:
    record = folder / "review.json"
    if not os.path.lexists(record):
        raise BundleError(f"{harmless(folder.name)} holds no review.json, so it is no bundle.")
    names = []
    with os.scandir(folder) as entries:
        for n, entry in enumerate(entries):
            if n >= _MOST_ENTRIES:
                break
            if _ANSWERS.fullmatch(entry.name):
                names.append(entry.name)
    answers = _read_file(folder / min(names), MOST_BYTES) if names else None
    return _read_file(record, _MOST_RECORD_BYTES), answers


def _read_file(path: Path, most: int, follow_link: bool = False) -> bytes:
    """Read a plain file up to a bound; a link inside a stranger's folder may point anywhere."""
    said = path.stat() if follow_link else path.lstat()
    if not stat.S_ISREG(said.st_mode):
        raise BundleError(f"{harmless(path.name)} is no plain file, so it was not read.")
    flags = os.O_RDONLY | (0 if follow_link else getattr(os, "O_NOFOLLOW", 0))
    flags |= getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0)
    with os.fdopen(os.open(path, flags), "rb") as file:
        return _bounded(file, most, path.name)


def _bounded(file: Any, most: int, name: str) -> bytes:
    data: bytes = file.read(most + 1)
    if len(data) > most:
        raise BundleError(f"{harmless(name)} is far larger than it can be, so it was not read.")
    return data


def _from_zip(path: Path) -> tuple[bytes, bytes | None]:
    if not stat.S_ISREG(path.stat().st_mode):
        raise BundleError(f"{harmless(path.name)} is no plain file, so it was not read.")
    with path.open("rb") as file:
        _check_list(file, path.name)
        with zipfile.ZipFile(file) as archive:
            entries = archive.infolist()
            record = _entry(entries, _RECORD)
            if record is None:
                raise BundleError(f"{harmless(path.name)} holds no review.json: it is no bundle.")
            answers = _entry(entries, _ANSWERS)
            return (
                _unpacked(archive, record, _MOST_RECORD_BYTES),
                None if answers is None else _unpacked(archive, answers, MOST_BYTES),
            )


def _check_list(file: BinaryIO, name: str) -> None:
    """Refuse a list of contents that would fill the memory, before anything reads it."""
    try:
        check_list(file, _MOST_ENTRIES, _MOST_LIST_BYTES)
    except ZipListError as error:
        what = {"lists its files": "as no bundle does", "lists more files": "than any bundle has"}
        said = f"{error} {what[str(error)]}"
        raise BundleError(f"{harmless(name)} {said}; it was not read.") from None


def _entry(entries: list[zipfile.ZipInfo], wanted: re.Pattern[str]) -> zipfile.ZipInfo | None:
    """The entry of a name, at the top or in one folder; the shortest path first."""
    found = []
    for entry in entries:
        *folders, name = entry.filename.split("/")
        if wanted.fullmatch(name) and len(folders) <= 1 and not entry.is_dir():
            found.append(entry)
    return min(found, key=lambda e: (e.filename.count("/"), e.filename), default=None)


def _unpacked(archive: zipfile.ZipFile, entry: zipfile.ZipInfo, most: int) -> bytes:
    # Other ways of packing may ask for any amount of memory before the first byte comes out.
    if entry.compress_type not in (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED):
        raise zipfile.BadZipFile
    with archive.open(entry) as file:
        return _bounded(file, most, entry.filename.rsplit("/", 1)[-1])


def _record(data: bytes, answers: bytes | None, name: str) -> BundleRecord:
    said = load_json(data, "review.json", _MOST_RECORD_BYTES, _DEEPEST_RECORD)
    if not isinstance(said, dict) or said.get("format") != FORMAT:
        raise BundleError(f"{name} holds no record of a feedback bundle.")
    version = said.get("version")
    if type(version) is not int or not 1 <= version <= VERSION:
        raise BundleError(
            f"{name} is a bundle of a form that this version of Strokeside does not know."
        )
    remarks: list[str] = []
    notes = said.get("notes")
    kept = _notes(notes if isinstance(notes, list) else [], remarks)
    found: AthleteAnswers | None = None
    if answers is not None:
        try:
            found, left_out = parse_answers(answers, "The file of answers in it")
            remarks += left_out
        except ReviewError as error:
            remarks.append(str(error))
    return BundleRecord(
        _line(said.get("title")),
        _line(said.get("athlete")),
        said.get("draft") is True,
        kept,
        found,
        tuple(dict.fromkeys(remarks)),
    )


def _notes(items: list[Any], remarks: list[str]) -> tuple[RecordNote, ...]:
    if len(items) > _MOST_NOTES:
        remarks.append(f"There were more than {_MOST_NOTES} notes; the rest was left out.")
    notes = []
    for number, item in enumerate(items[:_MOST_NOTES], start=1):
        if not isinstance(item, dict):
            remarks.append("Some notes could not be read and were left out.")
            continue
        moment: Any = item.get("video_s")
        is_time = isinstance(moment, int | float) and not isinstance(moment, bool)
        video_s = float(moment) if is_time and abs(moment) < 1e9 else None
        text = item.get("text")
        text = text if isinstance(text, str) else ""
        if len(text) > _LONGEST_TEXT:
            remarks.append("A note was very long and was cut.")
        notes.append(
            RecordNote(
                number,
                _line(item.get("id")),
                video_s,
                _line(item.get("phase")),
                harmless(text[:_LONGEST_TEXT]),
            )
        )
    return tuple(notes)


def _line(value: object) -> str:
    return " ".join(harmless(value[:_LONGEST_LINE]).split()) if isinstance(value, str) else ""
