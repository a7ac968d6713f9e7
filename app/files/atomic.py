"""Files that are whole or not there, also after a power cut."""

from __future__ import annotations

import contextlib
import errno
import os
import stat
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Final

from app.files.alive import own_name

PRIVATE: Final = 0o600
_NEW: Final = (
    os.O_RDWR
    | os.O_CREAT
    | os.O_EXCL
    | getattr(os, "O_NOFOLLOW", 0)
    | getattr(os, "O_BINARY", 0)  # or Windows would write other bytes than it was given
)
_CANNOT_SYNC: Final = frozenset({errno.EINVAL, errno.ENOSYS, errno.ENOTSUP})


@contextmanager
def replacing(target: str | Path, mode: int | None = None, sync: bool = True) -> Iterator[Path]:
    """Give a temporary file beside `target` to write; it takes that name when the block ends well.

    Parameters
    ----------
    mode : the rights of the file, `PRIVATE` for what is the user's alone; None for those of the
        file that is replaced, or of any new file
    sync : whether the content is on the disk before it takes the name, and the name after it

    Raises
    ------
    OSError
        The folder cannot be written to, or the disk is full; nothing is left behind.
    """
    target = Path(target)
    # The same ending: what writes it may go by that.
    part = target.with_name(own_name(f".{target.stem[:40]}", f".part{target.suffix}"))
    rights = _rights_of(target) if mode is None else mode
    handle = os.open(part, _NEW, 0o666 if rights is None else rights)
    try:
        rights = stat.S_IMODE(os.fstat(handle).st_mode) if rights is None else rights
        os.close(handle)
        yield part
        part.chmod(rights)
        if sync:
            sync_path(part)
        part.replace(target)
        if sync:
            sync_folder(target.parent)
    finally:
        with contextlib.suppress(OSError):
            part.unlink(missing_ok=True)


def write(path: str | Path, data: bytes, mode: int | None = None, sync: bool = True) -> None:
    """Write a file whole or not at all; parameters and errors as `replacing`."""
    with replacing(path, mode, sync) as part:
        part.write_bytes(data)


def create(path: Path, mode: int = 0o666) -> int:
    """Make a file that is not there yet and return its handle, for reading and writing bytes.

    Raises
    ------
    OSError
        It is there already, or cannot be made.
    """
    return os.open(path, _NEW, mode)


def write_all(handle: int, data: bytes) -> None:
    """Write all of it, however often the system has to be asked."""
    view = memoryview(data)
    while view:
        view = view[os.write(handle, view) :]


def sync_handle(handle: int) -> None:
    """Bring what was written to the disk itself.

    Raises
    ------
    OSError
        The disk refused it.
    """
    try:
        os.fsync(handle)
        if sys.platform == "darwin":  # there the usual way ends at the cache of the drive
            import fcntl

            with contextlib.suppress(OSError):  # not every disk can do more
                fcntl.fcntl(handle, fcntl.F_FULLFSYNC)
    except OSError as error:
        if error.errno not in _CANNOT_SYNC:
            raise


def sync_path(path: Path) -> None:
    """Bring a file to the disk itself; raises OSError as `sync_handle`."""
    handle = os.open(path, os.O_RDWR | getattr(os, "O_BINARY", 0))
    try:
        sync_handle(handle)
    finally:
        os.close(handle)


def sync_folder(folder: Path) -> None:
    """Make names that were given or taken away in a folder outlive a power cut, where it can be."""
    # Windows cannot open a folder, which is one of the errors; NTFS keeps a journal of names.
    with contextlib.suppress(OSError):
        handle = os.open(folder, os.O_RDONLY | getattr(os, "O_DIRECTORY", 0))
        try:
            sync_handle(handle)
        finally:
            os.close(handle)


def _rights_of(target: Path) -> int | None:
    """The rights of a file that is replaced: who made it private meant it."""
    try:
        found = target.lstat()
    except OSError:
        return None
    return stat.S_IMODE(found.st_mode) & 0o777 if stat.S_ISREG(found.st_mode) else None
