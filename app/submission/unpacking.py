"""A .zip of a submission, unpacked into a folder: as if whoever packed it meant harm.

Only films and force files are taken, each as a plain file with a harmless name of its own;
folders in the archive, links, passwords and paths count for nothing, and sizes are bounded whatever
the archive says of them.
"""

from __future__ import annotations

import contextlib
import re
import shutil
import stat
import unicodedata
import zipfile
import zlib
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from pathlib import Path, PurePosixPath
from typing import IO, Final

from app.files.alive import MARK, Owner, own_name, owner_of
from app.files.plain import is_plain_folder
from app.files.zips import ZipListError, opened_zip
from app.review.values.text import clean_name
from app.submission.kinds import FILM_ENDINGS, is_recording_name, of_a_submission

MOST_MEMBERS: Final = 2_000
MOST_LIST_BYTES: Final = 2**20  # of the names of so many members
MOST_FILES: Final = 100
MOST_BYTES: Final = 16 * 2**30  # films of an hour from several sides
MOST_OF_TABLE: Final = 512 * 2**20
MOST_SWELLING: Final = 50  # times what a film or a table shrinks to at most, after the first part
FREE_LEFT: Final = 2**30
_CHUNK: Final = 2**20
_LONGEST_NAME: Final = 80
_MOST_NAME_BYTES: Final = 200
# What Windows takes for a device, whatever ending it has.
_DEVICES: Final = frozenset(
    ("CON", "PRN", "AUX", "NUL", *(f"{port}{n}" for port in ("COM", "LPT") for n in range(10)))
)
_UNFINISHED: Final = ".unpacking"
_LEFT: Final = re.compile(rf"\..*-{MARK}\{_UNFINISHED}", re.DOTALL)
BROKEN: Final = (zipfile.BadZipFile, zlib.error, EOFError, NotImplementedError, RuntimeError)
KEPT: Final = "nothing was opened or changed"


class UnpackingError(ValueError):
    """A .zip that cannot be taken; one sentence for the user."""


def recordings_of_zip(path: Path) -> tuple[str, ...]:
    """Name the films and force files in a .zip; none where it holds none, or is none."""
    try:
        with opened_zip(path, MOST_MEMBERS, MOST_LIST_BYTES) as archive:
            return tuple(name for _member, name in _wanted(archive))
    except (*BROKEN, OSError, ZipListError):
        return ()


def unpack(path: Path, beside: Path | None = None) -> Path:
    """Unpack the recordings in a .zip into a folder of its own, and return that.

    Parameters
    ----------
    beside : where the folder is made, named as the .zip; None for beside the .zip itself. A folder
        that is there already is left alone, and another name taken

    Raises
    ------
    UnpackingError
        It is damaged, holds no recordings, or more than it should; nothing of it is left.
    """
    name = clean_name(path.name)
    parent = path.parent if beside is None else beside
    with folder_to_fill(parent, path.stem, name) as part:
        _unpack_into(path, part, name)
        return give_name(part, parent, path.stem)


@contextmanager
def folder_to_fill(parent: Path, stem: str, name: str) -> Iterator[Path]:
    """Make a hidden folder of this process to unpack into; it goes where the block fails.

    One that a killed process left there goes first.

    Parameters
    ----------
    stem, name : of the archive, for the folder and for a sentence

    Raises
    ------
    UnpackingError
        No folder can be made there.
    """
    _tidy(parent)
    part = parent / own_name(f".{stem[:40]}", _UNFINISHED)
    try:
        part.mkdir(mode=0o700)
    except OSError as error:
        raise UnpackingError(
            f"{name} cannot be unpacked there ({error.strerror}); {KEPT}: move it to a folder of "
            "your own first."
        ) from None
    try:
        yield part
    except BaseException:
        shutil.rmtree(part, ignore_errors=True)
        raise


def _tidy(parent: Path) -> None:
    with contextlib.suppress(OSError):
        for path in parent.glob(f".*{_UNFINISHED}"):
            found = _LEFT.fullmatch(path.name)
            if found and is_plain_folder(path) and owner_of(found["mark"]) is Owner.GONE:
                shutil.rmtree(path, ignore_errors=True)


def _unpack_into(path: Path, folder: Path, name: str) -> None:
    try:
        with opened_zip(path, MOST_MEMBERS, MOST_LIST_BYTES) as archive:
            wanted = _wanted(archive)
            if not wanted:
                raise UnpackingError(
                    f"{name} holds no film and no force file; {KEPT}: ask the athlete for the film."
                )
            left = min(MOST_BYTES, shutil.disk_usage(folder).free - FREE_LEFT)
            for member, plain in wanted:
                with archive.open(member) as source:
                    most = min(left, most_of(member))
                    left -= copy_bounded(source, folder / plain, most, name)
    except ZipListError:
        raise UnpackingError(
            f"{name} holds too many files; {KEPT}: unpack it yourself and open the folder."
        ) from None
    except BROKEN:
        raise UnpackingError(
            f"{name} is damaged or wants a password; {KEPT}: ask the athlete to send the files "
            "themselves."
        ) from None
    except OSError as error:
        raise UnpackingError(f"{name} cannot be unpacked ({error.strerror}); {KEPT}.") from None


def _wanted(archive: zipfile.ZipFile) -> list[tuple[zipfile.ZipInfo, str]]:
    """What is taken of an archive, each with a name of its own."""
    members = archive.infolist()
    if len(members) > MOST_MEMBERS:
        raise ZipListError("lists more files")
    named = [(member, plain) for member in members if (plain := _plain(member))]
    recordings = of_a_submission([PurePosixPath(plain) for _member, plain in named])
    taken = [(member, plain) for member, plain in named if PurePosixPath(plain) in recordings]
    names = own_names(plain for _member, plain in taken[:MOST_FILES])
    return [(member, name) for (member, _plain), name in zip(taken, names, strict=False)]


def _plain(member: zipfile.ZipInfo) -> str:
    """The last part of a member's name, made harmless; "" for what is not taken."""
    if not is_plain_member(member):
        return ""
    path = PurePosixPath(member.filename.replace("\\", "/"))
    if path.name.startswith(".") or "__MACOSX" in path.parts:
        return ""
    name = harmless_name(path.name)
    return name if is_recording_name(Path(name)) else ""


def is_plain_member(member: zipfile.ZipInfo) -> bool:
    """Whether it stands for a file: no folder, link or device."""
    kind = stat.S_IFMT(member.external_attr >> 16)
    return not member.is_dir() and kind in (0, stat.S_IFREG)


def harmless_name(name: str) -> str:
    """A file name that any system takes, its ending in lower case; "" where nothing is left."""
    # One letter may be written in two ways, which some disks tell apart and others do not.
    whole = unicodedata.normalize("NFC", name)
    last = "".join(c for c in whole if c.isprintable() and c not in '<>:"|?*/\\').strip(" .")
    path = PurePosixPath(last)
    stem = _cut(path.stem)
    if stem.split(".")[0].rstrip().upper() in _DEVICES:
        stem = _cut(f"_{stem}")
    return f"{stem}{path.suffix.lower()}" if stem else ""


def _cut(stem: str, less: int = 0) -> str:
    """As much of a name as any disk takes: some count letters, others bytes."""
    letters = stem[: _LONGEST_NAME - less].encode()[: _MOST_NAME_BYTES - less]
    return letters.decode("utf-8", "ignore").strip(" .")


def own_names(wished: Iterable[str]) -> list[str]:
    """Names of which no two are one on any disk: a number tells the later ones apart."""
    given: dict[str, None] = {}
    for wish in wished:
        stem, ending = PurePosixPath(wish).stem, PurePosixPath(wish).suffix
        name, number = wish, 2
        while name.casefold() in {taken.casefold() for taken in given}:
            told = f" {number}"
            name, number = f"{_cut(stem, len(told))}{told}{ending}", number + 1
        given[name] = None
    return list(given)


def most_of(member: zipfile.ZipInfo) -> int:
    """How much a member may hold: no more than it says, and no more than such a file can."""
    bound = MOST_SWELLING * member.compress_size + _CHUNK
    if PurePosixPath(member.filename).suffix.lower() not in FILM_ENDINGS:
        bound = min(bound, MOST_OF_TABLE)
    return min(bound, member.file_size)


def copy_bounded(
    source: IO[bytes],
    out: Path,
    most: int,
    name: str,
    seen: Callable[[bytes], object] = lambda _chunk: None,
) -> int:
    """Write a member of an archive, and stop where it swells; gives its bytes.

    Parameters
    ----------
    most : bytes it may hold
    name : of the archive
    seen : called with each piece

    Raises
    ------
    UnpackingError
        It holds more.
    """
    done = 0
    with out.open("xb") as target:
        while chunk := source.read(_CHUNK):
            done += len(chunk)
            if done > most:
                raise UnpackingError(
                    f"{name} swells beyond what it should hold, or beyond what is free on the disk;"
                    f" {KEPT}: ask the athlete to send the files themselves."
                )
            target.write(chunk)
            seen(chunk)
    return done


def give_name(part: Path, parent: Path, stem: str) -> Path:
    """Give the folder its name, once all is in it; raises UnpackingError where none is free."""
    part.chmod(0o755)
    wish = "".join(c for c in stem if c.isprintable())[:_LONGEST_NAME].strip(" .") or "submission"
    for number in range(1, 1000):
        out = parent / (wish if number == 1 else f"{wish} {number}")
        if not out.exists() and not out.is_symlink():
            part.rename(out)
            return out
    raise UnpackingError(f"{clean_name(stem)} was unpacked too often here; {KEPT}.")
