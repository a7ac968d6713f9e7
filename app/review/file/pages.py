"""The pages of a damaged SQLite file, read without SQLite.

After https://www.sqlite.org/fileformat2.html: table b-trees, records and overflow chains, and
nothing that could be executed. Every number of the file is checked before it is used; a page is
walked once, and all values together stay within a small multiple of the file.
"""

from __future__ import annotations

import functools
import struct
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from typing import Final, Protocol

TABLE_LEAF: Final = 0x0D
TABLE_INTERIOR: Final = 0x05
_HEADER: Final = b"SQLite format 3\0"
_SIZES: Final = (4096, 1024, 2048, 8192, 16384, 32768, 65536, 512)
_PROBED_BYTES: Final = 4_000_000
_MOST_COLUMNS: Final = 100
_READINGS: Final = 16  # how often all of a file's bytes may be read as values
_INT_BYTES: Final = (0, 1, 2, 3, 4, 6, 8)
_ENCODINGS: Final = {2: "utf-16-le", 3: "utf-16-be"}

Value = str | int | float | bytes | None


class Bytes(Protocol):
    """Bytes of a file, or a map of it."""

    def __len__(self) -> int: ...

    def __getitem__(self, part: slice, /) -> bytes: ...


@dataclass(frozen=True)
class Cell:
    """One row as it lies in a page.

    Attributes
    ----------
    rowid : its key
    values : its columns as stored
    end : where in the page the cell ends
    is_cut : whether the last text goes on where nothing could be read
    """

    rowid: int
    values: tuple[Value, ...]
    end: int
    is_cut: bool = False


class PageFile:
    """A file cut into pages, however damaged its header is.

    Attributes
    ----------
    size : bytes of a page
    count : pages, the last perhaps cut short
    """

    def __init__(self, data: Bytes) -> None:
        self._data = data
        head = data[:100]
        self.has_header = head[:16] == _HEADER
        self.size = _page_size(head) or _guessed_size(data)
        self.usable = self.size - (head[20] if self.has_header and head[20] <= 32 else 0)
        self.count = -(-len(data) // self.size)
        encoding = int.from_bytes(head[56:60], "big") if self.has_header else 1
        self._encoding = _ENCODINGS.get(encoding, "utf-8")
        self._bytes_left = _READINGS * len(data) + 1_000_000

    def page(self, number: int) -> bytes:
        """Return a page, numbered from 1; shorter than a page where the file ends in it."""
        if not 1 <= number <= self.count:
            return b""
        return self._data[(number - 1) * self.size : number * self.size]

    def kind(self, number: int) -> int:
        """Return a page's first byte of meaning: which sort of b-tree page it claims to be."""
        at = 100 if number == 1 else 0
        byte = self.page(number)[at : at + 1]
        return byte[0] if byte else 0

    def children(self, number: int) -> list[tuple[int, int | None]]:
        """Return an interior page's children and the last rowid of each, the last one's open."""
        page, at = self.page(number), 100 if number == 1 else 0
        found: list[tuple[int, int | None]] = []
        for cell in _pointers(page, at, 12):
            key = varint(page, cell + 4)
            if cell + 4 <= len(page) and key is not None:
                found.append((int.from_bytes(page[cell : cell + 4], "big"), key[0]))
        found.append((int.from_bytes(page[at + 8 : at + 12], "big"), None))
        return [(child, key) for child, key in found if child > 1]

    def cells(self, number: int, types: Sequence[str] = ()) -> Iterator[Cell | None]:
        """Yield a leaf page's rows; None for one that cannot be read."""
        page, at = self.page(number), 100 if number == 1 else 0
        for start in _pointers(page, at, 8):
            yield self.cell(page, start, types)

    def carved(
        self, number: int, types: Sequence[str], accepts: Callable[[Cell], bool]
    ) -> Iterator[Cell]:
        """Yield what looks like a row of these types anywhere in a page whose head is damaged.

        Parameters
        ----------
        accepts : a last look at a row, before the bytes it covers are passed over
        """
        page = self.page(number)
        at = 8
        while at < len(page) - 3:
            cell = self.cell(page, at, types, exact=True) if page[at] else None
            if cell is not None and accepts(cell):
                yield cell
                at = cell.end
            else:
                at += 1

    def hides_rows(self, number: int, cells: Sequence[Cell | None]) -> bool:
        """Whether a leaf page, of which these rows were read, holds more that is not free."""
        page = self.page(number)
        if number == 1 or page[1:3] != b"\0\0" or len(page) < self.usable:
            return number != 1 and len(page) < self.usable
        starts = _pointers(page, 0, 8)
        ends = [cell.end for cell in cells if cell is not None]
        if len(ends) < len(starts) or not starts:
            return any(page[8 : self.usable])
        content = int.from_bytes(page[5:7], "big") or 65536
        return content < min(starts) or max(ends) < self.usable - page[7]

    def cell(
        self, page: bytes, start: int, types: Sequence[str] = (), *, exact: bool = False
    ) -> Cell | None:
        """Read the row that starts at a place in a page; None when there is none.

        Parameters
        ----------
        types : what its columns may hold (T text, I whole, R real, B blob, N nothing); with
            them a row that cannot fit is refused before anything long is read
        exact : whether the size before the columns must be theirs; else theirs is believed
        """
        size, rowid = varint(page, start), None
        if size is not None:
            rowid = varint(page, size[1])
        if size is None or rowid is None or not 2 <= size[0] <= self._bytes_left:
            return None
        total, at = size[0], rowid[1]
        head = _serial_types(page[at:])
        if head is None or (types and not _fits(head[0], tuple(types))):
            return None
        kinds, first, told = head
        if told != total:
            if exact or not types or told > self._bytes_left:
                return None
            total = told  # the columns fit, so it is the size before them that is damaged
        local = self._local(total)
        end = at + local + (4 if local < total else 0)
        if end > len(page):
            return None
        payload = page[at : at + local]
        if local < total:
            payload += self._overflow(int.from_bytes(page[end - 4 : end], "big"), total - local)
        self._bytes_left -= total
        values, is_cut = self._values(payload, first, kinds)
        return None if values is None else Cell(rowid[0], values, end, is_cut)

    def _local(self, total: int) -> int:
        most, least = self.usable - 35, (self.usable - 12) * 32 // 255 - 23
        if total <= most:
            return total
        kept = least + (total - least) % (self.usable - 4)
        return kept if kept <= most else least

    def _overflow(self, number: int, wanted: int) -> bytes:
        """Follow a chain of overflow pages as far as it goes; a circle ends it."""
        parts: list[bytes] = []
        seen: set[int] = set()
        while wanted > 0 and 1 < number <= self.count and number not in seen:
            seen.add(number)
            page = self.page(number)
            part = page[4 : min(4 + wanted, self.usable)]
            parts.append(part)
            wanted -= len(part)
            number = int.from_bytes(page[:4], "big")
        return b"".join(parts)

    def _values(
        self, payload: bytes, at: int, kinds: Sequence[int]
    ) -> tuple[tuple[Value, ...] | None, bool]:
        values: list[Value] = []
        for place, kind in enumerate(kinds):
            length = _length(kind)
            part = payload[at : at + length]
            if len(part) < length:
                # A note whose end is lost is worth more than none; a sound's end is told by it.
                if place < len(kinds) - 1 or kind < 12 or not part:
                    return None, False
                return (*values, self._value(kind, part)), True
            values.append(self._value(kind, part))
            at += length
        return tuple(values), False

    def _value(self, kind: int, part: bytes) -> Value:
        if kind == 0:
            return None
        if kind <= 6:
            return int.from_bytes(part, "big", signed=True)
        if kind == 7:
            return float(struct.unpack(">d", part)[0])
        if kind in (8, 9):
            return kind - 8
        return part.decode(self._encoding, "replace") if kind % 2 else bytes(part)

    def free_pages(self) -> set[int]:
        """Return the pages the file calls free, as far as its list can be followed."""
        free: set[int] = set()
        number = int.from_bytes(self.page(1)[32:36], "big") if self.has_header else 0
        while 1 < number <= self.count and number not in free:
            free.add(number)
            page = self.page(number)
            many = min(int.from_bytes(page[4:8], "big"), len(page) // 4 - 2)
            free.update(struct.unpack(f">{many}I", page[8 : 8 + 4 * many]) if many > 0 else ())
            number = int.from_bytes(page[:4], "big")
        return free


def varint(data: bytes, at: int) -> tuple[int, int] | None:
    """Read a variable-length integer (signed, 64 bits) and where it ends; None past the end."""
    if 0 <= at < len(data) and data[at] < 0x80:
        return data[at], at + 1
    value = 0
    for i in range(9):
        if not 0 <= at + i < len(data):
            return None
        byte = data[at + i]
        if i == 8:
            value = value << 8 | byte
            return value - (1 << 64) if value >= 1 << 63 else value, at + 9
        value = value << 7 | byte & 0x7F
        if byte < 0x80:
            return value, at + i + 1
    return None


def _pointers(page: bytes, at: int, header: int) -> list[int]:
    """Return where the cells of a b-tree page start."""
    count = int.from_bytes(page[at + 3 : at + 5], "big")
    first = at + header
    room = max((len(page) - first) // 2, 0)
    if count > room:
        return []
    return list(struct.unpack(f">{count}H", page[first : first + 2 * count]))


def _serial_types(local: bytes) -> tuple[tuple[int, ...], int, int] | None:
    """Read a record's header: the kinds of its columns, its own length, the record's length."""
    head = varint(local, 0)
    if head is None or not 2 <= head[0] <= len(local):
        return None
    told = _header(local[: head[0]], head[1])
    return None if told is None else (told[0], head[0], told[1])


@functools.lru_cache(maxsize=4096)
def _header(head: bytes, at: int) -> tuple[tuple[int, ...], int] | None:
    kinds, total = list[int](), len(head)
    while at < len(head):
        kind = varint(head, at)
        if kind is None or kind[0] < 0 or kind[0] in (10, 11) or len(kinds) >= _MOST_COLUMNS:
            return None
        kinds.append(kind[0])
        total += _length(kind[0])
        at = kind[1]
    return tuple(kinds), total


def _length(kind: int) -> int:
    if kind <= 6:
        return _INT_BYTES[kind]
    return 8 if kind == 7 else (kind - 12) // 2 if kind >= 12 else 0


def letter(kind: int) -> str:
    """Return what a serial type holds: T text, I whole, R real, B blob, N nothing."""
    if kind == 0:
        return "N"
    return "R" if kind == 7 else "I" if kind < 10 else "T" if kind % 2 else "B"


@functools.lru_cache(maxsize=4096)
def _fits(kinds: tuple[int, ...], types: tuple[str, ...]) -> bool:
    return len(kinds) == len(types) and all(
        letter(kind) in may for kind, may in zip(kinds, types, strict=True)
    )


def _page_size(head: bytes) -> int | None:
    """Return the page size a whole header names, None for a damaged one."""
    if head[:16] != _HEADER or len(head) < 100:
        return None
    size = int.from_bytes(head[16:18], "big")
    size = 65536 if size == 1 else size
    return size if size in _SIZES else None


def _guessed_size(data: Bytes) -> int:
    """Return the page size at which most pages look like pages of a b-tree."""

    def score(size: int) -> float:
        starts = range(size, min(len(data), _PROBED_BYTES), size)
        # Half the size finds the same pages, twice the size half of them.
        return sum(_looks_right(data[at : at + size], size) for at in starts) * size**0.2

    return max(_SIZES, key=score)


def _looks_right(page: bytes, size: int) -> bool:
    if len(page) < size or page[0] not in (2, 5, 10, 13):
        return False
    header = 12 if page[0] in (2, 5) else 8
    count, content = struct.unpack(">HH", page[3:7])
    content = content or 65536
    return header + 2 * count <= content <= size and page[7] <= 60
