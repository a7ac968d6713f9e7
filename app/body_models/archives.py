"""Reading named files out of an archive that a stranger may have made.

Nothing is unpacked: only the names asked for are read, into memory, each up to a size, and the
archive as a whole up to one, so that neither a path in it nor a small file that swells does harm.
"""

from __future__ import annotations

import gzip
import lzma
import struct
import tarfile
import zipfile
import zlib
from collections.abc import Mapping
from pathlib import Path
from typing import IO, Final

MOST_MEMBERS: Final = 20_000
MOST_UNPACKED: Final = 400_000_000
_BROKEN: Final = (
    OSError,
    EOFError,
    ValueError,
    struct.error,
    zlib.error,
    lzma.LZMAError,
    tarfile.TarError,
    zipfile.BadZipFile,
    NotImplementedError,
    RuntimeError,  # a member that wants a password
)


class ArchiveError(Exception):
    """An archive is not what it should be; the message says what is wrong with it."""


def read_tar(path: Path, wanted: Mapping[str, int]) -> dict[str, bytes]:
    """Read members of a `.tgz`: `wanted` says how many bytes each name may have at most.

    Names that are not in it are left out.

    Raises
    ------
    ArchiveError
        It is damaged, or larger than allowed.
    """
    found: dict[str, bytes] = {}
    try:
        with (
            path.open("rb") as packed,
            tarfile.open(fileobj=_Unpacked(fileobj=packed, mode="rb"), mode="r|") as archive,
        ):
            for count, member in enumerate(archive):
                if count >= MOST_MEMBERS:
                    raise ArchiveError("it holds too many files")
                if member.name not in wanted or member.name in found:
                    continue
                if not member.isreg() or member.size > wanted[member.name]:
                    raise ArchiveError(f"{member.name} in it is not what it should be")
                stream = archive.extractfile(member)
                found[member.name] = _read(stream, wanted[member.name]) if stream else b""
    except _BROKEN as error:
        raise ArchiveError("it is damaged") from error
    return found


def read_zip(path: Path, wanted: Mapping[str, int]) -> dict[str, bytes]:
    """Read members of a `.zip`, as `read_tar` does those of a `.tgz`."""
    found: dict[str, bytes] = {}
    try:
        with zipfile.ZipFile(path) as archive:
            members = archive.infolist()
            if len(members) > MOST_MEMBERS:
                raise ArchiveError("it holds too many files")
            for member in members:
                if member.filename not in wanted or member.filename in found:
                    continue
                if member.file_size > wanted[member.filename]:
                    raise ArchiveError(f"{member.filename} in it is not what it should be")
                with archive.open(member) as stream:
                    found[member.filename] = _read(stream, wanted[member.filename])
    except _BROKEN as error:
        raise ArchiveError("it is damaged") from error
    return found


def _read(stream: IO[bytes], most: int) -> bytes:
    data = stream.read(most + 1)
    if len(data) > most:
        raise ArchiveError("a file in it is larger than it says")
    return data


class _Unpacked(gzip.GzipFile):
    """A gzip stream unpacked as it is read, up to a size."""

    given = 0

    def read(self, size: int | None = -1) -> bytes:
        data = super().read(size)
        self.given += len(data)
        if self.given > MOST_UNPACKED:
            raise ArchiveError("it swells beyond what it should hold")
        return data
