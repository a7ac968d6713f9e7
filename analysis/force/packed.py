"""A force table as text, whatever it came in: as it lies, compressed, zipped, or a spreadsheet.

What is unpacked is a text file in a folder of its own that is gone afterwards. What a stranger
sends may be made to fill the disk or the memory: everything is counted while it is unpacked.
"""

from __future__ import annotations

import contextlib
import errno
import gzip
import struct
import tempfile
import zipfile
import zlib
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path, PurePosixPath
from typing import IO, Final

from analysis.force.c3d import looks_like_c3d, table_of_c3d
from analysis.force.endings import JSON, RECORDED, TABLES
from analysis.force.json_tables import looks_like_json, table_of_json
from analysis.force.parquet import looks_like_parquet, table_of_parquet
from analysis.force.spreadsheets import (
    OLD_OFFICE,
    is_spreadsheet,
    table_of_old_spreadsheet,
    table_of_spreadsheet,
)
from analysis.force.trace import TraceError

# A ten-hour recording of 200 samples a second is 106 MB of text.
MOST_BYTES: Final = 512 * 2**20
MOST_MEMBERS: Final = 2000
CHUNK: Final = 1 << 20
ZIP, GZIP = b"PK\x03\x04", b"\x1f\x8b"
EMPTY_ZIP = b"PK\x05\x06"
# Of others one small piece may unpack to all memory at once, before any of it is counted.
METHODS: Final = (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED)
_DAMAGED: Final = (
    *(zlib.error, EOFError, gzip.BadGzipFile, zipfile.BadZipFile, NotImplementedError),
    *(struct.error, UnicodeDecodeError, OverflowError),
)
NAMED: Final = 5  # of several tables in an archive


@dataclass(frozen=True)
class Unpacked:
    """A text table to be read.

    Attributes
    ----------
    path : where it lies while it is read, under the name of what was sent
    remarks : what there is to say about where it was found
    """

    path: Path
    remarks: tuple[str, ...] = ()


@contextlib.contextmanager
def unpacked(path: Path) -> Iterator[Unpacked]:
    """Give a force file as text; a plain one is given as it is.

    Raises
    ------
    TraceError
        It is packed in a way that is not read here, damaged, or too large unpacked.
    """
    head = _head(path)
    if not _is_packed(path, head):
        yield Unpacked(path)
        return
    with contextlib.ExitStack() as kept:
        try:
            folder = kept.enter_context(tempfile.TemporaryDirectory(prefix="strokeside-force-"))
            found = _unpack(path, head, Path(folder), path.name, nested=False)
        except OSError as error:
            raise _unwritten(path.name, error) from None
        yield found


def _unwritten(name: str, error: OSError) -> TraceError:
    if error.errno in (errno.ENOSPC, errno.EDQUOT):
        return TraceError(
            f"There is no room on the disk to unpack {name}; make some, or send the table itself."
        )
    if error.errno == errno.ENOENT:
        return TraceError(f"There is no file {name}; check its name and folder.")
    reason = (error.strerror or "the system refused").lower()
    return TraceError(f"{name} could not be unpacked ({reason}); send the table itself.")


def _head(path: Path) -> bytes:
    """The first bytes; none where reading the file as text says what is wrong with it."""
    try:
        with path.open("rb") as file:
            return file.read(4096)
    except (OSError, ValueError):
        return b""


def _is_packed(path: Path, head: bytes) -> bool:
    packed = head.startswith((ZIP, EMPTY_ZIP, GZIP, OLD_OFFICE)) or looks_like_parquet(head)
    return packed or looks_like_json(path.suffix, head) or looks_like_c3d(path.suffix, head)


def _unpack(path: Path, head: bytes, folder: Path, name: str, *, nested: bool) -> Unpacked:
    """Unpack one layer, and what lies in it where that is a table once more."""
    out = folder / name
    try:
        if head.startswith(GZIP):
            inner = Path(tempfile.mkdtemp(dir=folder))
            return _again(_inflate(path, inner / name), folder, name, nested, ())
        if head.startswith((ZIP, EMPTY_ZIP)):
            return _from_zip(path, folder, name, nested)
        if head.startswith(OLD_OFFICE):
            return _written(out, *table_of_old_spreadsheet(path, name))
        if looks_like_parquet(head):
            return _written(out, *table_of_parquet(path, name))
        if looks_like_c3d(path.suffix, head):
            return _written(out, *table_of_c3d(path, name))
        return _written(out, *table_of_json(path, name))
    except (*_DAMAGED, OSError) as error:
        # A seek to before the beginning is how some damage shows.
        if not isinstance(error, _DAMAGED) and error.errno != errno.EINVAL:
            raise
        raise TraceError(
            f"{name} is a compressed file that is damaged or packed in an unusual way; unpack it, "
            "or ask for the table as it was exported."
        ) from None
    except MemoryError:
        raise TraceError(f"{name} is too long for this machine's memory; cut it.") from None


def _again(path: Path, folder: Path, name: str, nested: bool, said: tuple[str, ...]) -> Unpacked:
    """What was unpacked: text, or a table to be unpacked in its turn, but no archive in another."""
    head = _head(path)
    if not _is_packed(path, head):
        return Unpacked(path, said)
    if nested:
        raise TraceError(
            f"{name} holds an archive within an archive; unpack it and send the table."
        )
    found = _unpack(path, head, folder, name, nested=True)
    return Unpacked(found.path, (*said, *found.remarks))


def _written(path: Path, text: Iterator[str], remarks: tuple[str, ...]) -> Unpacked:
    # Half a character, which JSON can name and no file can hold, must not cost the rest.
    with path.open("w", encoding="utf-8", errors="replace", newline="\n") as file:
        file.writelines(_counted(text, Budget(path.name).take))
    return Unpacked(path, remarks)


def _counted(text: Iterator[str], take: Callable[[int], None]) -> Iterator[str]:
    for line in text:
        take(len(line))
        yield line


def _inflate(path: Path, out: Path) -> Path:
    with gzip.open(path, "rb") as packed:
        _copy(packed, out, Budget(path.name))
    return out


class Budget:
    """Bytes that may still be unpacked."""

    def __init__(self, name: str) -> None:
        self._name, self._left = name, MOST_BYTES

    def take(self, count: int) -> None:
        """Spend some; raises TraceError where nothing is left."""
        self._left -= count
        if self._left < 0:
            raise TraceError(
                f"{self._name} unpacks to more than any force recording holds; ask for the table "
                "itself."
            )


def _copy(source: IO[bytes] | gzip.GzipFile, out: Path, budget: Budget) -> None:
    with out.open("wb") as file:
        while chunk := source.read(CHUNK):
            budget.take(len(chunk))
            file.write(chunk)


def _from_zip(path: Path, folder: Path, name: str, nested: bool) -> Unpacked:
    with zipfile.ZipFile(path) as archive:
        members = archive.infolist()
        if len(members) > MOST_MEMBERS:
            raise TraceError(f"{name} holds {len(members)} files; unpack it and send the table.")
        if any(member.compress_type not in METHODS for member in members):
            raise NotImplementedError
        names = {member.filename for member in members}
        take: Callable[[int], None] = Budget(name).take
        if is_spreadsheet(names):
            text, remarks = table_of_spreadsheet(archive, names, folder, name, take)
            return _written(folder / name, text, remarks)
        member = _only_table(members, name)
        if member.flag_bits & 1:
            raise TraceError(f"{name} is locked with a password; send it without one.")
        inner = Path(tempfile.mkdtemp(dir=folder))
        # Under the name of what was sent: names in an archive may be anything.
        out = inner / name
        with archive.open(member) as packed:
            _copy(packed, out, Budget(name))
        kind = PurePosixPath(member.filename).suffix.lower()
        if kind in JSON | RECORDED:
            out = out.rename(out.with_name(out.name[:60] + kind))
        said = () if len(members) == 1 else (f"The only table in {name} was read.",)
        return _again(out, folder, name, nested, said)


def _only_table(members: list[zipfile.ZipInfo], name: str) -> zipfile.ZipInfo:
    """The one member that may be a table."""
    # One without any name would be no directory and no file to the library.
    named = [m for m in members if m.filename]
    shown = [m for m in named if not m.is_dir() and not _is_hidden(m.filename)]
    tables = [m for m in shown if _ending(m) in TABLES or m.filename.lower().endswith(".csv.gz")]
    if not tables and len(shown) == 1 and _ending(shown[0]) == "":
        tables = shown
    if len(tables) == 1:
        return tables[0]
    if not tables:
        held = "nothing" if not shown else "no table"
        raise TraceError(
            f"{name} is a zip archive and holds {held} that could be a force recording; unpack it "
            "and send what is in it."
        )
    listed = ", ".join(PurePosixPath(m.filename).name[:40] for m in tables[:NAMED])
    more = f" and {len(tables) - NAMED} more" if len(tables) > NAMED else ""
    raise TraceError(
        f"{name} holds {len(tables)} tables ({listed}{more}); unpack it and choose the one with "
        "the handle force."
    )


def _ending(member: zipfile.ZipInfo) -> str:
    return PurePosixPath(member.filename).suffix.lower()


def _is_hidden(filename: str) -> bool:
    parts = PurePosixPath(filename).parts
    return any(part.startswith((".", "__MACOSX")) for part in parts)
