"""Opening an archive of a review with its recordings: as if whoever packed it meant harm.

The record names each file with its length and its SHA-256, and there is nothing else in it: what is
missing, too much, longer, or another thing than was said is refused, and nothing is left of it.
Names in the archive lead nowhere: a review in a folder of its own, its recordings in one beside.
"""

from __future__ import annotations

import hashlib
import re
import shutil
import zipfile
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path, PurePosixPath
from typing import Any, Final

from analysis.force.endings import READ
from app.files.atomic import sync_path
from app.files.zips import ZipListError, opened_zip
from app.review.answers import load_json
from app.review.file.store import read_review
from app.review.parts.films import all_recordings
from app.review.values.errors import ReviewError
from app.review.values.text import clean_name, plain
from app.submission.archive import (
    ENDING,
    FOLDER,
    FORMAT,
    KEY,
    RECORD,
    RECORDINGS,
    ArchiveError,
)
from app.submission.kinds import FILM_ENDINGS
from app.submission.unpacking import (
    BROKEN,
    FREE_LEFT,
    MOST_BYTES,
    MOST_FILES,
    MOST_LIST_BYTES,
    MOST_SWELLING,
    UnpackingError,
    copy_bounded,
    folder_to_fill,
    give_name,
    harmless_name,
    is_plain_member,
    own_names,
)

KEPT: Final = "nothing was opened or changed"
AGAIN: Final = f"{KEPT}: ask for the archive again"
_OTHER_THINGS: Final = f"{{name}} holds other things than a review and its recordings; {AGAIN}."
_MOST_MEMBERS: Final = MOST_FILES + 2
_MOST_RECORD: Final = 1_000_000
_DEEPEST: Final = 4
_MOST_SAID: Final = 300
_DIGEST: Final = re.compile("[0-9a-f]{64}")
_RECORDING_ENDINGS: Final = FILM_ENDINGS | READ

Progress = Callable[[float, str], None]
Cancelled = Callable[[], bool]


@dataclass(frozen=True)
class OpenedArchive:
    """What came out.

    Attributes
    ----------
    review : the review, in a folder of its own
    missing : sentences of whoever packed it about what is not in it, made harmless
    """

    review: Path
    recordings: tuple[Path, ...]
    missing: tuple[str, ...]


@dataclass(frozen=True)
class _File:
    member: zipfile.ZipInfo
    name: str  # of the file alone
    is_review: bool
    size: int
    sha256: str


def is_archive(path: Path) -> bool:
    """Whether it says that it is a review with its recordings; whether it is, opening tells."""
    try:
        with opened_zip(path, _MOST_MEMBERS, MOST_LIST_BYTES) as archive:
            return isinstance(_record(archive, "").get(KEY), int)
    except (*BROKEN, OSError, ValueError, KeyError):  # a list too long is a ValueError
        return False


def open_archive(
    path: Path,
    beside: Path | None = None,
    progress: Progress = lambda _share, _doing: None,
    cancelled: Cancelled = lambda: False,
) -> OpenedArchive:
    """Unpack a review with its recordings into a folder of its own; the archive stays.

    Parameters
    ----------
    beside : where the folder is made, named as the review; None for beside the archive. A folder
        that is there already is left alone, and another name taken

    Raises
    ------
    ArchiveError
        It is damaged, is not what it says, or cannot be unpacked there; nothing of it is left.
    """
    name = clean_name(path.name)
    parent = path.parent if beside is None else beside
    try:
        with opened_zip(path, _MOST_MEMBERS, MOST_LIST_BYTES) as archive:
            files, missing = _files(archive, name)
            with folder_to_fill(parent, path.stem, name) as part:
                _unpack(archive, files, part, name, progress, cancelled)
                _check_review(part, files, name)
                stem = next(PurePosixPath(f.name).stem for f in files if f.is_review)
                folder = give_name(part, parent, stem)
    except UnpackingError as error:
        raise ArchiveError(str(error)) from None
    except ZipListError:
        raise ArchiveError(_OTHER_THINGS.format(name=name)) from None
    except BROKEN:
        raise ArchiveError(f"{name} is damaged or wants a password; {AGAIN}.") from None
    except OSError as error:
        reason = (error.strerror or "the system refused").lower()
        raise ArchiveError(
            f"{name} cannot be opened here ({reason}); {KEPT}: move it to a folder of your own, or "
            "make room."
        ) from None
    review = next(folder / f.name for f in files if f.is_review)
    recordings = tuple(folder / RECORDINGS / f.name for f in files if not f.is_review)
    return OpenedArchive(review, recordings, missing)


def _record(archive: zipfile.ZipFile, name: str) -> dict[str, Any]:
    with archive.open(RECORD) as file:
        data = file.read(_MOST_RECORD + 1)
    said = load_json(data, f"{RECORD} of {name}", _MOST_RECORD, _DEEPEST)
    return said if isinstance(said, dict) else {}


def _files(archive: zipfile.ZipFile, name: str) -> tuple[list[_File], tuple[str, ...]]:
    """What the archive says it holds, once that is what lies in it."""
    members = archive.infolist()
    by_name = {member.filename: member for member in members}
    if len(by_name) != len(members) or RECORD not in by_name:
        raise ArchiveError(_OTHER_THINGS.format(name=name))
    try:
        record = _record(archive, name)
    except ReviewError as error:
        raise ArchiveError(f"{error} {KEPT.capitalize()}.") from None
    if record.get(KEY) != FORMAT:
        raise ArchiveError(
            f"{name} was packed by a newer Strokeside; {KEPT}: update Strokeside to open it."
        )
    told, missing = record.get("files"), record.get("missing", [])
    if not isinstance(told, list) or not isinstance(missing, list):
        raise ArchiveError(f"{name} does not say what it holds; {AGAIN}.")
    files = [_file(one, by_name, name) for one in told]
    extra = by_name.keys() - {file.member.filename for file in files} - {RECORD}
    if extra:
        raise ArchiveError(f"{name} holds {plain(min(extra))} without saying so; {AGAIN}.")
    apart = own_names(f.name for f in files)
    if sum(f.is_review for f in files) != 1 or apart != [f.name for f in files]:
        raise ArchiveError(f"{name} does not hold one review with its recordings; {AGAIN}.")
    said = (plain(text, _MOST_SAID) for text in missing[:MOST_FILES] if isinstance(text, str))
    return files, tuple(said)


def _file(told: object, by_name: dict[str, zipfile.ZipInfo], name: str) -> _File:
    """One file of the record; raises ArchiveError where it is not there, or no such file."""
    entry = told if isinstance(told, dict) else {}
    stored, size, digest = entry.get("name"), entry.get("size"), entry.get("sha256")
    if not (
        isinstance(stored, str)
        and type(size) is int
        and 0 <= size <= MOST_BYTES
        and isinstance(digest, str)
        and _DIGEST.fullmatch(digest)
    ):
        raise ArchiveError(f"{name} does not say what it holds; {AGAIN}.")
    member = by_name.get(stored)
    if member is None:
        raise ArchiveError(f"{name} lacks {plain(PurePosixPath(stored).name)}; {AGAIN}.")
    folder, _, last = stored.rpartition("/")
    is_review = folder == FOLDER and last.endswith(ENDING)
    is_recording = folder == f"{FOLDER}/{RECORDINGS}" and (
        PurePosixPath(last).suffix in _RECORDING_ENDINGS
    )
    harmless = last == harmless_name(last) and not last.startswith(".")
    if not (is_review or is_recording) or not harmless or not is_plain_member(member):
        raise ArchiveError(f"{name} holds {plain(last)}, which no such archive does; {AGAIN}.")
    if member.file_size != size:
        raise ArchiveError(f"{plain(last)} in {name} is not as long as it should be; {AGAIN}.")
    return _File(member, last, is_review, size, digest)


def _unpack(
    archive: zipfile.ZipFile,
    files: list[_File],
    folder: Path,
    name: str,
    progress: Progress,
    cancelled: Cancelled,
) -> None:
    """Write the files, each compared with what was said of it."""
    (folder / RECORDINGS).mkdir()
    whole = sum(file.size for file in files) or 1
    room = min(MOST_BYTES, shutil.disk_usage(folder).free - FREE_LEFT)
    if whole > room:
        raise ArchiveError(
            f"{name} needs {whole / 1e6:.0f} MB, more than there is room for here; {KEPT}: move it "
            "to a larger disk and open it there."
        )
    done = 0
    for file in files:
        out = folder / file.name if file.is_review else folder / RECORDINGS / file.name
        digest = hashlib.sha256()
        before = done

        def seen(chunk: bytes, digest: Any = digest, before: int = before) -> None:
            if cancelled():
                raise ArchiveError(f"Opening {name} was cancelled; nothing of it is left.")
            digest.update(chunk)
            progress((before + len(chunk)) / whole, "")

        most = min(file.size, MOST_SWELLING * file.member.compress_size + 2**20)
        with archive.open(file.member) as source:
            size = copy_bounded(source, out, most, name, seen)
        if size != file.size or digest.hexdigest() != file.sha256:
            raise ArchiveError(
                f"{plain(file.name)} in {name} is not what was packed: it was damaged or changed "
                f"on the way; {AGAIN}."
            )
        sync_path(out)
        done += size


def _check_review(folder: Path, files: list[_File], name: str) -> None:
    """Read the review before anything gets a name: its recordings are those beside it."""
    inside = next(folder / file.name for file in files if file.is_review)
    try:
        state = read_review(inside)
    except ReviewError as error:
        raise ArchiveError(f"The review in {name} cannot be opened: {error}") from None
    there = {f"{RECORDINGS}/{f.name}": (f.size, f.sha256) for f in files if not f.is_review}
    for ref in all_recordings(state):
        held = there.pop(ref.path, None)
        if held is not None and held != (ref.size, ref.sha256):
            raise ArchiveError(
                f"{plain(PurePosixPath(ref.path).name)} in {name} is not the recording that was "
                f"reviewed; {AGAIN}."
            )
    if there:
        raise ArchiveError(
            f"{name} holds {plain(PurePosixPath(min(there)).name)}, which its review does not "
            f"name; {AGAIN}."
        )
