"""Knowing a recording by its content: whole, or quickly by its size and its two ends."""

from __future__ import annotations

import contextlib
import hashlib
import os
import stat
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import BinaryIO, Final, Literal

from analysis.force.trace import ColumnMapping
from app.review.parts.media import MediaRef
from app.review.recordings.stored_paths import to_stored
from app.review.values.errors import ReviewError
from app.review.values.text import clean_name

END_BYTES: Final = 1 << 20  # of each end, for the quick look

Cancelled = Callable[[], bool]


@dataclass(frozen=True)
class Fingerprint:
    """What a file's content is told by.

    Attributes
    ----------
    size : bytes
    sha256 : of all of it
    ends_sha256 : of its first and its last megabyte
    """

    size: int
    sha256: str
    ends_sha256: str


def refer(
    path: Path,
    kind: Literal["video", "trace"],
    review_path: Path,
    mapping: ColumnMapping | None = None,
    *,
    cancelled: Cancelled | None = None,
) -> MediaRef:
    """Describe a recording so that it is known again by its content.

    Parameters
    ----------
    review_path : the review file the reference goes into; need not exist yet
    mapping : how its columns are read (force only)
    cancelled : asked between chunks; True ends the reading

    Raises
    ------
    ReviewError
        The file cannot be read, is empty, or the reading was cancelled.
    """
    path = Path(path)
    found = fingerprint(path, cancelled)
    if found.size == 0:
        raise ReviewError(f"{clean_name(path.name)} is empty; ask for the recording again.")
    stored = to_stored(path.absolute(), normal(Path(review_path).absolute().parent))
    return MediaRef(kind, stored, found.size, found.sha256, mapping, ends_sha256=found.ends_sha256)


def fingerprint(path: Path, cancelled: Cancelled | None = None) -> Fingerprint:
    """Read a whole file; raises ReviewError where it cannot be read or that was cancelled."""
    whole, ends = hashlib.sha256(), hashlib.sha256()
    tail = b""
    size = 0
    with open_regular(path) as file:
        while chunk := file.read(END_BYTES):
            if cancelled is not None and cancelled():
                raise ReviewError(
                    f"Reading {clean_name(path.name)} was cancelled; nothing was changed."
                )
            whole.update(chunk)
            first = chunk[: max(0, END_BYTES - size)]
            ends.update(first)
            size += len(chunk)
            tail = (tail + chunk[len(first) :])[-END_BYTES:]
    ends.update(tail)
    return Fingerprint(size, whole.hexdigest(), ends.hexdigest())


def quick_ends(path: Path) -> tuple[int, str]:
    """Read size and the digest of the two ends; raises ReviewError where that cannot be read."""
    ends = hashlib.sha256()
    with open_regular(path) as file:
        size = os.fstat(file.fileno()).st_size
        ends.update(_exactly(file, min(size, END_BYTES)))
        rest = min(max(0, size - END_BYTES), END_BYTES)
        file.seek(size - rest)
        ends.update(_exactly(file, rest))
    return size, ends.hexdigest()


def changed(ref: MediaRef, path: Path, *, cancelled: Cancelled | None = None) -> bool:
    """Whether a file is not the recording that was referred to; reads the whole file if need be.

    Raises
    ------
    ReviewError
        The file cannot be read, or the reading was cancelled.
    """
    path = Path(path)
    try:
        if path.stat().st_size != ref.size:
            return True
    except (OSError, ValueError) as error:
        raise unreadable(path, error) from error
    return fingerprint(path, cancelled).sha256 != ref.sha256


@contextlib.contextmanager
def open_regular(path: Path) -> Iterator[BinaryIO]:
    """Open a file to read its bytes; a pipe or a device is refused, and waited for by nobody.

    Raises
    ------
    ReviewError
        It cannot be read.
    """
    flags = os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0)
    try:
        handle = os.open(path, flags | getattr(os, "O_CLOEXEC", 0))
        try:
            if not stat.S_ISREG(os.fstat(handle).st_mode):
                raise no_recording(path)
        except BaseException:
            os.close(handle)
            raise
        with os.fdopen(handle, "rb", buffering=0) as file:
            yield file
    except (OSError, ValueError) as error:
        if isinstance(error, ReviewError):
            raise
        raise unreadable(path, error) from error


def normal(path: Path) -> Path:
    """Take `.` and `..` out of a path without following anything."""
    return Path(os.path.normpath(path))


def no_recording(path: Path) -> ReviewError:
    """Say that something is no file."""
    name = clean_name(path.name)
    if path.is_dir():
        return ReviewError(f"{name} is a folder; choose the recording itself.")
    return ReviewError(f"{name} is a pipe or a device, no recording; choose the recording itself.")


def unreadable(path: Path, error: Exception) -> ReviewError:
    """Say why a file cannot be read."""
    name = clean_name(path.name)
    with contextlib.suppress(OSError, ValueError):
        if path.is_dir():
            return no_recording(path)
    if isinstance(error, FileNotFoundError):
        return ReviewError(
            f"There is no file {name} in {clean_name(path.parent.name)}; check the name."
        )
    reason = (getattr(error, "strerror", None) or "the system refused").lower()
    return ReviewError(f"{name} cannot be read ({reason}); copy it to this machine first.")


def _exactly(file: BinaryIO, count: int) -> bytes:
    """Read so many bytes, or all there are: one call may bring fewer."""
    pieces = []
    while count > 0 and (piece := file.read(count)):
        pieces.append(piece)
        count -= len(piece)
    return b"".join(pieces)
