"""A .zip of a submission, unpacked into a folder: as if whoever packed it meant harm.

Only films and force files are taken, each as a plain file with a harmless name of its own;
folders in the archive, links, passwords and paths count for nothing, and sizes are bounded whatever
the archive says of them.
"""

from __future__ import annotations

import shutil
import stat
import tempfile
import zipfile
import zlib
from pathlib import Path, PurePosixPath
from typing import IO, Final

from app.review.values.text import clean_name
from app.submission.kinds import FILM_ENDINGS, is_recording_name, of_a_submission

MOST_MEMBERS: Final = 2_000
MOST_FILES: Final = 100
MOST_BYTES: Final = 16 * 2**30  # films of an hour from several sides
MOST_OF_TABLE: Final = 512 * 2**20
MOST_SWELLING: Final = 50  # times what a film or a table shrinks to at most, after the first part
FREE_LEFT: Final = 2**30
_CHUNK: Final = 2**20
_LONGEST_NAME: Final = 80
_BROKEN: Final = (zipfile.BadZipFile, zlib.error, EOFError, NotImplementedError, RuntimeError)
KEPT: Final = "nothing was opened or changed"


class UnpackingError(ValueError):
    """A .zip that cannot be taken; one sentence for the user."""


def recordings_of_zip(path: Path) -> tuple[str, ...]:
    """Name the films and force files in a .zip; none where it holds none, or is none."""
    try:
        with zipfile.ZipFile(path) as archive:
            return tuple(name for _member, name in _wanted(archive))
    except (*_BROKEN, OSError, UnpackingError):
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
    try:
        part = Path(tempfile.mkdtemp(prefix=f".{path.stem[:40]}-", dir=parent))
    except OSError as error:
        raise UnpackingError(
            f"{name} cannot be unpacked there ({error.strerror}); {KEPT}: move it to a folder of "
            "your own first."
        ) from None
    try:
        _unpack_into(path, part, name)
        return _named(part, parent, path.stem)
    except BaseException:
        shutil.rmtree(part, ignore_errors=True)
        raise


def _unpack_into(path: Path, folder: Path, name: str) -> None:
    try:
        with zipfile.ZipFile(path) as archive:
            wanted = _wanted(archive)
            if not wanted:
                raise UnpackingError(
                    f"{name} holds no film and no force file; {KEPT}: ask the athlete for the film."
                )
            left = min(MOST_BYTES, shutil.disk_usage(folder).free - FREE_LEFT)
            for member, plain in wanted:
                with archive.open(member) as source:
                    most = min(left, _most_of(member))
                    left -= _copy(source, folder / plain, most, name)
    except _BROKEN:
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
        raise UnpackingError(
            f"{clean_name(Path(archive.filename or '').name)} holds too many files; {KEPT}: unpack "
            "it yourself and open the folder."
        )
    named = [(member, plain) for member in members if (plain := _plain(member))]
    recordings = of_a_submission([PurePosixPath(plain) for _member, plain in named])
    taken: dict[str, zipfile.ZipInfo] = {}
    for member, plain in named:
        if PurePosixPath(plain) not in recordings or len(taken) >= MOST_FILES:
            continue
        stem, ending = Path(plain).stem, Path(plain).suffix
        number = 2
        while plain.casefold() in taken:
            plain, number = f"{stem} {number}{ending}", number + 1
        taken[plain.casefold()] = member
        member.comment = plain.encode()
    return [(member, member.comment.decode()) for member in taken.values()]


def _plain(member: zipfile.ZipInfo) -> str:
    """The last part of a member's name, made harmless; "" for what is not taken."""
    kind = stat.S_IFMT(member.external_attr >> 16)
    if member.is_dir() or kind not in (0, stat.S_IFREG):
        return ""
    path = PurePosixPath(member.filename.replace("\\", "/"))
    last = "".join(c for c in path.name if c.isprintable() and c not in '<>:"|?*').strip(" .")
    ending = PurePosixPath(last).suffix.lower()
    if not is_recording_name(Path(last)) or "__MACOSX" in path.parts:
        return ""
    stem = PurePosixPath(last).stem[:_LONGEST_NAME].strip(" .")
    return f"{stem}{ending}" if stem and not path.name.startswith(".") else ""


def _most_of(member: zipfile.ZipInfo) -> int:
    """How much a member may hold: no more than it says, and no more than such a file can."""
    bound = MOST_SWELLING * member.compress_size + _CHUNK
    if PurePosixPath(member.filename).suffix.lower() not in FILM_ENDINGS:
        bound = min(bound, MOST_OF_TABLE)
    return min(bound, member.file_size)


def _copy(source: IO[bytes], out: Path, most: int, name: str) -> int:
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
    return done


def _named(part: Path, parent: Path, stem: str) -> Path:
    """Give the folder its name, once all is in it."""
    part.chmod(0o755)
    wish = "".join(c for c in stem if c.isprintable())[:_LONGEST_NAME].strip(" .") or "submission"
    for number in range(1, 1000):
        out = parent / (wish if number == 1 else f"{wish} {number}")
        if not out.exists() and not out.is_symlink():
            part.rename(out)
            return out
    raise UnpackingError(f"{clean_name(stem)} was unpacked too often here; {KEPT}.")
