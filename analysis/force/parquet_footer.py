"""What the end of a Parquet file says: its columns, and where the values of each lie.

Parquet (parquet.apache.org/docs/file-format) ends in a record of Thrift's compact protocol, of
which every page has a small one too. Numbers in them are a stranger's claims.
"""

from __future__ import annotations

import struct
from dataclasses import dataclass
from typing import IO, Any, Final

MAGIC: Final = b"PAR1"
MOST_FOOTER_BYTES: Final = 4 * 2**20  # 64 columns in 600 groups of rows
_DEEPEST: Final = 12
_END: Final = 8  # bytes: the footer's length and the magic once more

# Fields, by their numbers in parquet.thrift.
_SCHEMA, _GROUPS = 2, 4
_KIND, _WIDTH, _REPETITION, _NAME, _CHILDREN, _CONVERTED, _SCALE, _LOGICAL = 1, 2, 3, 4, 5, 6, 7, 10
_CHUNKS, _GROUP_ROWS, _META = 1, 3, 3
_CODEC, _VALUES, _SIZE, _DATA_AT, _DICTIONARY_AT = 4, 5, 7, 9, 11
_REPEATED: Final = 2

Record = dict[int, Any]


class DamagedError(ValueError):
    """A Parquet file does not keep to its format."""


@dataclass(frozen=True)
class Column:
    """A column of the table that is no list and lies in no other.

    Attributes
    ----------
    name : as it is written
    at : which of the file's stored columns it is
    kind : Parquet's number of the stored type
    width : bytes of a value of fixed length
    is_optional : whether cells may be empty
    converted, scale, logical : what the stored type stands for, as it is written
    """

    name: str
    at: int
    kind: int
    width: int
    is_optional: bool
    converted: int | None
    scale: int
    logical: Record


@dataclass(frozen=True)
class Chunk:
    """The values of one column in one group of rows: bytes into the file, and how many."""

    begin: int
    size: int
    codec: int
    values: int


@dataclass(frozen=True)
class Footer:
    """The whole table.

    Attributes
    ----------
    columns : those that can be a column of numbers
    others : names of those that hold lists or records
    groups : rows of each group, and the chunk of each stored column
    """

    columns: tuple[Column, ...]
    others: tuple[str, ...]
    groups: tuple[tuple[int, tuple[Chunk, ...]], ...]

    @property
    def rows(self) -> int:
        """Rows of the table."""
        return sum(rows for rows, _chunks in self.groups)


def read_footer(file: IO[bytes], size: int) -> Footer:
    """Read the end of a Parquet file of `size` bytes.

    Raises
    ------
    DamagedError
        It is cut, locked, or no such file.
    """
    if size < len(MAGIC) + _END:
        raise DamagedError
    file.seek(size - _END)
    (length, magic) = struct.unpack("<I4s", file.read(_END))
    if magic != MAGIC or length > min(MOST_FOOTER_BYTES, size - _END - len(MAGIC)):
        raise DamagedError
    file.seek(size - _END - length)
    try:
        said = Thrift(file.read(length)).record()
        columns, others, stored = _columns(said[_SCHEMA])
        groups = tuple(_group(group, stored, size) for group in said.get(_GROUPS, ()))
    except (LookupError, TypeError, ValueError, AttributeError, struct.error) as error:
        raise DamagedError from error
    return Footer(columns, others, groups)


def _columns(schema: list[Record]) -> tuple[tuple[Column, ...], tuple[str, ...], int]:
    """Columns, names of what is no column, and how many are stored."""
    columns: list[Column] = []
    others: list[str] = []
    at, stored = 1, 0
    for _ in range(schema[0][_CHILDREN]):
        top = schema[at]
        at, leaves = _after(schema, at)
        name = top[_NAME].decode("utf-8", "replace")
        if _CHILDREN in top or top.get(_REPETITION, 0) == _REPEATED:
            others.append(name)
        else:
            columns.append(
                Column(
                    name,
                    stored,
                    int(top[_KIND]),
                    int(top.get(_WIDTH, 0)),
                    top.get(_REPETITION, 0) == 1,
                    int(top[_CONVERTED]) if _CONVERTED in top else None,
                    int(top.get(_SCALE, 0)),
                    dict(top.get(_LOGICAL, {})),
                )
            )
        stored += leaves
    return tuple(columns), tuple(others), stored


def _after(schema: list[Record], at: int) -> tuple[int, int]:
    """Where the next column begins, and how many are stored of the one at `at`."""
    left, leaves = 1, 0
    while left:
        left -= 1
        inner = int(schema[at].get(_CHILDREN, 0))
        if inner < 0:
            raise DamagedError
        leaves += not inner
        left += inner
        at += 1
    return at, leaves


def _group(group: Record, stored: int, size: int) -> tuple[int, tuple[Chunk, ...]]:
    rows, chunks = int(group[_GROUP_ROWS]), []
    for each in group[_CHUNKS]:
        said = each[_META]
        begins = [int(said[at]) for at in (_DICTIONARY_AT, _DATA_AT) if said.get(at, 0) > 0]
        chunk = Chunk(min(begins), int(said[_SIZE]), int(said[_CODEC]), int(said[_VALUES]))
        if chunk.size < 0 or chunk.begin + chunk.size > size:
            raise DamagedError
        chunks.append(chunk)
    if rows < 0 or len(chunks) != stored:
        raise DamagedError
    return rows, tuple(chunks)


class Thrift:
    """Records of Thrift's compact protocol, as dictionaries by the numbers of their fields."""

    def __init__(self, data: bytes | memoryview, at: int = 0) -> None:
        self._data, self.at = data, at

    def record(self, depth: int = 0) -> Record:
        """Read one record; raises DamagedError or LookupError where it does not end."""
        if depth > _DEEPEST:
            raise DamagedError
        fields: Record = {}
        number = 0
        while kind := self._byte():
            step, kind = kind >> 4, kind & 15
            number = number + step if step else self._signed()
            fields[number] = kind == 1 if kind in (1, 2) else self._value(kind, depth)
        return fields

    def _value(self, kind: int, depth: int) -> Any:
        if kind in (1, 2, 3):
            return self._byte()
        if kind in (4, 5, 6):
            return self._signed()
        if kind == 7:
            return struct.unpack("<d", self._take(8))[0]
        if kind == 8:
            return self._take(self._unsigned())
        if kind in (9, 10):
            return self._list(depth)
        if kind == 12:
            return self.record(depth + 1)
        raise DamagedError  # maps are in none of the records that are read

    def _list(self, depth: int) -> list[Any]:
        head = self._byte()
        count = head >> 4
        if count == 15:
            count = self._unsigned()
        if count > len(self._data) - self.at or depth > _DEEPEST:
            raise DamagedError
        return [self._value(head & 15, depth + 1) for _ in range(count)]

    def _byte(self) -> int:
        self.at += 1
        return self._data[self.at - 1]

    def _take(self, count: int) -> bytes:
        if count > len(self._data) - self.at:
            raise DamagedError
        self.at += count
        return bytes(self._data[self.at - count : self.at])

    def _unsigned(self) -> int:
        value = shift = 0
        while shift < 70:
            byte = self._byte()
            value |= (byte & 127) << shift
            if byte < 128:
                return value
            shift += 7
        raise DamagedError

    def _signed(self) -> int:
        value = self._unsigned()
        return (value >> 1) ^ -(value & 1)
