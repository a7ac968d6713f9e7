"""Explanations as one file to hand on, and such a file read as if a stranger had made it.

It is a .zip of `explanations.json` and a WAV file for each voice, named by its explanation. All of
it is checked before anything of it is kept: one thing that is wrong, and the shelf is as it was.
"""

from __future__ import annotations

import io
import json
import re
import stat
import zipfile
import zlib
from collections.abc import Collection, Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import BinaryIO, Final

from app.files import atomic
from app.files.plain import NotPlainError, TooLargeError, open_plain
from app.files.zips import ZipListError, check_list
from app.review.answers import load_json
from app.review.values.errors import ReviewError
from app.review.values.text import clean_name
from app.shelf.errors import ShelfError
from app.shelf.explanation import Explanation
from app.shelf.record import LONGEST_VOICE_S, as_record, from_record
from app.shelf.store import DEEPEST, MOST_KEPT, MOST_SOUND_BYTES, Entry, Shelf, check_entry

ENDING: Final = ".explanations.zip"
FORMAT_KEY: Final = "strokeside_explanations"
VERSION: Final = 1
LIST_NAME: Final = "explanations.json"
MOST_LIST_BYTES: Final = 64_000_000
_MOST_NAMES_BYTES: Final = 200_000
_MOST_BYTES: Final = MOST_SOUND_BYTES + MOST_LIST_BYTES + 1_000_000
_MOST_VOICE_BYTES: Final = int(LONGEST_VOICE_S * 192_000 * 2) + 100_000
_VOICE: Final = re.compile(r"voices/([0-9a-f]{32})\.wav")
_CHUNK: Final = 1 << 20
KEPT: Final = "nothing was taken from it"


@dataclass(frozen=True)
class Imported:
    """What came of an import: how many were new, and how many were there already."""

    new: int
    known: int


def export_shelf(shelf: Shelf, out: Path, ids: Collection[str] | None = None) -> int:
    """Write explanations into one file, whole or not at all.

    Parameters
    ----------
    ids : of those that are wanted; None for all

    Returns
    -------
    int
        How many were written.

    Raises
    ------
    ShelfError
        There is nothing to write, the shelf cannot be read, or the file cannot be written.
    """
    wanted = [kept for kept in shelf.listed().kept if ids is None or kept.id in ids]
    if not wanted:
        raise ShelfError("There is no explanation to write; keep one first.")
    try:
        with (
            atomic.replacing(out) as part,
            zipfile.ZipFile(part, "w", zipfile.ZIP_DEFLATED) as archive,
        ):
            listed = {FORMAT_KEY: VERSION, "explanations": [as_record(kept) for kept in wanted]}
            text = json.dumps(listed, ensure_ascii=False, indent=1)
            # Without a time: when the coach wrote it is nobody's.
            archive.writestr(zipfile.ZipInfo(LIST_NAME), text.encode(), zipfile.ZIP_DEFLATED)
            for kept in wanted:
                if kept.voice is not None:
                    named = zipfile.ZipInfo(f"voices/{kept.id}.wav")
                    archive.writestr(named, shelf.sound(kept.id), zipfile.ZIP_DEFLATED)
    except OSError as error:
        why = (error.strerror or "the system refused").lower()
        raise ShelfError(
            f"{clean_name(out.name)} could not be written ({why}); your shelf is as it was."
        ) from error
    return len(wanted)


def import_shelf(shelf: Shelf, path: Path) -> Imported:
    """Take the explanations of a file onto a shelf, all or none.

    Raises
    ------
    ShelfError
        It is no such file, damaged, or made to do harm; one sentence, and the shelf is as it was.
    """
    name = clean_name(Path(path).name)
    read: list[str] = []

    def counted(entries: Iterable[Entry]) -> Iterator[Entry]:
        for entry in entries:
            read.append(entry.explanation.id)
            yield entry

    try:
        with open_plain(Path(path), _MOST_BYTES) as file:
            new = shelf.add(counted(read_entries(file, name)))
    except NotPlainError:
        raise ShelfError(f"{name} is no plain file; {KEPT}.") from None
    except TooLargeError:
        raise ShelfError(f"{name} is larger than any shelf; {KEPT}.") from None
    except OSError as error:
        why = (error.strerror or "the system refused").lower()
        raise ShelfError(f"{name} cannot be read ({why}); {KEPT}.") from None
    return Imported(new, len(read) - new)


def read_entries(file: BinaryIO, name: str) -> Iterator[Entry]:
    """Read a file of explanations one after another; raises ShelfError with one sentence.

    Parameters
    ----------
    name : what to call it in the sentence
    """
    try:
        check_list(file, MOST_KEPT + 1, _MOST_NAMES_BYTES)
        with zipfile.ZipFile(file) as archive:
            yield from _entries(archive)
    except ZipListError:
        raise ShelfError(f"{name} lists more than any shelf holds; {KEPT}.") from None
    except ShelfError as error:
        raise ShelfError(f"{name} was not imported: {_inside(error)}") from None
    except (
        zipfile.BadZipFile, zlib.error, EOFError, RuntimeError, NotImplementedError, ReviewError,
        ValueError, OSError, MemoryError,
    ):  # fmt: skip
        raise ShelfError(
            f"{name} is damaged, locked or no file of explanations; {KEPT}: ask for it again."
        ) from None


def _inside(error: ShelfError) -> str:
    said = str(error)
    return said[:1].lower() + said[1:]


def _entries(archive: zipfile.ZipFile) -> Iterator[Entry]:
    voices = _members(archive)
    listed = archive.getinfo(LIST_NAME) if LIST_NAME in archive.namelist() else None
    if listed is None:
        raise ShelfError("It holds no explanations.")
    said = load_json(_unpacked(archive, listed, MOST_LIST_BYTES), "it", MOST_LIST_BYTES, DEEPEST)
    kept = _explanations(said)
    spoken = {one.id for one in kept if one.voice is not None}
    if spoken != set(voices):
        raise ShelfError("Its explanations and its voices do not belong together.")
    left = MOST_SOUND_BYTES
    for one in kept:
        wav = None
        if one.id in voices:
            wav = _unpacked(archive, voices[one.id], min(left, _MOST_VOICE_BYTES))
            left -= len(wav)
        entry = Entry(one, wav)
        check_entry(entry)
        yield entry


def _members(archive: zipfile.ZipFile) -> dict[str, zipfile.ZipInfo]:
    """The voices by the id of their explanation; anything but these and the list is refused."""
    voices: dict[str, zipfile.ZipInfo] = {}
    lists = 0
    for member in archive.infolist():
        kind = stat.S_IFMT(member.external_attr >> 16)
        if kind not in (0, stat.S_IFREG) or member.is_dir():
            raise ShelfError("It holds a link or a folder, which no such file does.")
        found = _VOICE.fullmatch(member.filename)
        if member.filename == LIST_NAME:
            lists += 1
        elif found is None:
            raise ShelfError("It holds a file that belongs to no explanation.")
        elif found[1] in voices:
            raise ShelfError("It holds the same voice twice.")
        else:
            voices[found[1]] = member
    if lists > 1:
        raise ShelfError("It holds two lists of explanations.")
    return voices


def _explanations(said: object) -> tuple[Explanation, ...]:
    if not isinstance(said, dict) or FORMAT_KEY not in said:
        raise ShelfError("It holds no explanations.")
    version = said[FORMAT_KEY]
    if type(version) is not int or version != VERSION:
        raise ShelfError(
            "It is of a form that this version of Strokeside does not know: bring it up to date."
        )
    listed = said.get("explanations")
    if not isinstance(listed, list) or not 1 <= len(listed) <= MOST_KEPT:
        raise ShelfError("It holds no explanations, or more than a shelf has room for.")
    kept = tuple(from_record(one) for one in listed)
    if len({one.id for one in kept}) != len(kept):
        raise ShelfError("Two of its explanations share one id.")
    return kept


def _unpacked(archive: zipfile.ZipFile, member: zipfile.ZipInfo, most: int) -> bytes:
    """Read a member up to a bound, whatever the archive says of its size."""
    # Other ways of packing may ask for any amount of memory before the first byte comes out.
    if member.compress_type not in (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED):
        raise zipfile.BadZipFile
    out = io.BytesIO()
    with archive.open(member) as source:
        while chunk := source.read(_CHUNK):
            if out.tell() + len(chunk) > most:
                raise ShelfError("It swells beyond what any shelf holds.")
            out.write(chunk)
    return out.getvalue()
