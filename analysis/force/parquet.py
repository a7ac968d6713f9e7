"""A Parquet table as text: what its columns hold, in the writing force files are read in."""

from __future__ import annotations

import struct
from collections.abc import Iterator
from pathlib import Path
from typing import IO, Any, Final

import numpy as np
from numpy.typing import NDArray

from analysis.force.parquet_footer import (
    MAGIC,
    Chunk,
    Column,
    DamagedError,
    Footer,
    read_footer,
)
from analysis.force.parquet_pages import (
    BOOLEAN,
    BYTES,
    FIXED,
    INT32,
    INT64,
    INT96,
    UnusualError,
    Values,
    read_chunk,
)
from analysis.force.trace import TraceError

LOCKED: Final = b"PARE"
MOST_BYTES: Final = 512 * 2**20
MOST_ROWS: Final = 8_000_000  # eleven hours of 200 samples a second
MOST_COLUMNS: Final = 64
MOST_CELLS: Final = (
    100_000_000  # a constant column takes no room in the file, and all its time here
)
MOST_VALUES: Final = 16_000_000  # of a group of rows, which is held at once
MOST_TEXTS: Final = 1_000_000  # of a column in a group of rows: each is an object of Python
MOST_UNPACKED: Final = 1 << 30
NAMED: Final = 3
_BLOCK_ROWS: Final = 8192
_JULIAN_1970: Final = 2_440_588  # the day INT96 counts from, in Julian days
_DAY_US: Final = 86_400_000_000
_AS_CSV: Final = "save it as .csv with the program that wrote it, or ask the athlete to"
# ConvertedType and LogicalType of parquet.thrift.
_DECIMAL, _DATE, _TIMES, _STAMPS = 5, 6, {7: 1, 8: 2}, {9: 1, 10: 2}
_UNSIGNED: Final = {11: "u1", 12: "u2", 13: "u4", 14: "u8"}
_L_DECIMAL, _L_DATE, _L_TIME, _L_STAMP, _L_INTEGER, _L_HALF = 5, 6, 7, 8, 10, 15
_A_SECOND: Final = {1: 1_000, 2: 1_000_000, 3: 1_000_000_000}


def looks_like_parquet(head: bytes) -> bool:
    """Whether a file begins as Parquet does."""
    return head.startswith((MAGIC, LOCKED))


def table_of_parquet(path: Path, name: str) -> tuple[Iterator[str], tuple[str, ...]]:
    """Give the columns of numbers, times and words of a Parquet file as lines parted by tabs.

    Raises
    ------
    TraceError
        It is damaged, locked, packed in an unusual way, too long, or holds lists alone. The lines
        may raise it too.
    """
    size = path.stat().st_size
    if size > MOST_BYTES:
        raise _too_long(name)
    with path.open("rb") as file:
        if file.read(4) == LOCKED:
            raise TraceError(
                f"{name} is a Parquet table locked with a key; ask for it without one, or as .csv."
            )
        try:
            footer = read_footer(file, size)
        except DamagedError:
            raise _damaged(name) from None
    shown = [column for column in footer.columns if _is_read(column)]
    if not shown:
        raise TraceError(
            f"{name} is a Parquet table whose cells hold lists or records, no columns of numbers; "
            f"{_AS_CSV}, one sample a row."
        )
    too_many = footer.rows * len(shown) > MOST_CELLS or len(footer.columns) > MOST_COLUMNS
    if footer.rows > MOST_ROWS or too_many:
        raise _too_long(name)
    if not footer.rows:
        raise TraceError(f"{name} is a Parquet table without a row; ask for the recording itself.")
    return _lines(path, name, footer, shown), _left_out(footer, shown)


def _damaged(name: str) -> TraceError:
    return TraceError(
        f"{name} is a Parquet table that is damaged or cut short; ask for it once more, or as .csv."
    )


def _too_long(name: str) -> TraceError:
    return TraceError(f"{name} is a Parquet table too long to be read; {_AS_CSV}.")


def _left_out(footer: Footer, shown: list[Column]) -> tuple[str, ...]:
    names = [*footer.others, *(c.name for c in footer.columns if c not in shown)]
    if not names:
        return ()
    listed = ", ".join(f"“{_heading(name)}”" for name in names[:NAMED])
    more = f" and {len(names) - NAMED} more" if len(names) > NAMED else ""
    return (f"Of the Parquet table {listed}{more} was left out: no column of numbers.",)


def _is_read(column: Column) -> bool:
    if column.kind == FIXED:
        return _L_HALF in column.logical or _is_decimal(column)
    return column.kind != BOOLEAN


def _lines(path: Path, name: str, footer: Footer, shown: list[Column]) -> Iterator[str]:
    unpacked = 0

    def spend(count: int) -> None:
        nonlocal unpacked
        unpacked += count
        if unpacked > MOST_UNPACKED:
            raise _too_long(name)

    yield "\t".join(_title(column) for column in shown) + "\n"
    with path.open("rb") as file:
        for rows, chunks in footer.groups:
            if rows * len(shown) > MOST_VALUES:
                raise _too_long(name)
            try:
                read = [_column(file, chunks[c.at], c, rows, spend, name) for c in shown]
            except UnusualError:
                raise TraceError(
                    f"{name} is a Parquet table packed in a way that is not read here; {_AS_CSV}."
                ) from None
            except TraceError:
                raise
            except (LookupError, TypeError, ValueError, OverflowError, struct.error):
                raise _damaged(name) from None
            yield from _rows(read, rows)


def _rows(read: list[tuple[Column, Values, Values]], rows: int) -> Iterator[str]:
    """A group of rows; `read` has the values of each column and where in them each row's is."""
    for begin in range(0, rows, _BLOCK_ROWS):
        cells = []
        for column, values, at in read:
            here = at[begin : begin + _BLOCK_ROWS]
            texts = iter(_texts(column, values[here[here >= 0]]))
            cells.append([next(texts) if place >= 0 else "" for place in here.tolist()])
        for row in zip(*cells, strict=True):
            yield "\t".join(row) + "\n"


def _column(
    file: IO[bytes], chunk: Chunk, column: Column, rows: int, spend: Any, name: str
) -> tuple[Column, Values, Values]:
    if chunk.values != rows:
        raise DamagedError
    if column.kind == BYTES and rows > MOST_TEXTS:
        raise _too_long(name)
    file.seek(chunk.begin)
    values, there = read_chunk(file.read(chunk.size), chunk, column, spend)
    return column, values, np.where(there, np.cumsum(there) - 1, -1)


def _title(column: Column) -> str:
    # What a program calls the column it numbers or times its rows by.
    if column.name.startswith("__index_level_"):
        return "time" if _stamp_unit(column) else "index"
    return _heading(column.name)


def _heading(text: str) -> str:
    return _plain(text)[:200]


def _plain(text: str) -> str:
    # A quote would take all up to the next one, rows below, for one cell.
    return " ".join("".join(c if c.isprintable() and c != '"' else " " for c in text).split())


def _is_decimal(column: Column) -> bool:
    return column.converted == _DECIMAL or _L_DECIMAL in column.logical


def _stamp_unit(column: Column) -> int:
    """What parts of a second a date with a time counts, 0 for what is none."""
    if column.kind == INT96:
        return 2
    return _unit(column, _L_STAMP, _STAMPS)


def _unit(column: Column, logical: int, converted: dict[int, int]) -> int:
    said = column.logical.get(logical)
    if isinstance(said, dict) and isinstance(said.get(2), dict):
        return next((unit for unit in said[2] if unit in _A_SECOND), 0)
    return converted.get(column.converted or 0, 0)


def _texts(column: Column, values: Values) -> list[str]:
    """Cells as they are written in a table."""
    if column.kind == BYTES and not _is_decimal(column):
        return [_plain(value.decode("utf-8", "replace")) for value in values]
    if stamp := _stamp_unit(column):
        return _stamps(column, values, stamp)
    if column.kind == INT32 and (column.converted == _DATE or _L_DATE in column.logical):
        return [str(day) for day in values.astype("M8[D]")]
    if clock := _unit(column, _L_TIME, _TIMES):
        return [_clock(value, _A_SECOND[clock]) for value in values.tolist()]
    if _L_HALF in column.logical:
        values = np.ascontiguousarray(values).view("<f2")[:, 0].astype(float)
    elif _is_decimal(column):
        values = _numbers(column, values) / 10.0 ** min(max(column.scale, 0), 40)
    elif column.kind in (INT32, INT64):
        return [str(value) for value in _whole(column, values).tolist()]
    return [f"{value:.15g}" for value in values.tolist()]


def _whole(column: Column, values: Values) -> Values:
    said = column.logical.get(_L_INTEGER)
    unsigned = _UNSIGNED.get(column.converted or 0)
    if unsigned is None and isinstance(said, dict) and said.get(2) is False:
        unsigned = "u8"
    return values if unsigned is None else values.astype(f"u{values.itemsize}")


def _numbers(column: Column, values: Values) -> NDArray[np.float64]:
    """Whole numbers of any length, most significant byte first."""
    if column.kind in (INT32, INT64):
        return values.astype(float)
    whole = [int.from_bytes(bytes(value), "big", signed=True) for value in values]
    return np.array(whole, float)


def _stamps(column: Column, values: Values, unit: int) -> list[str]:
    if column.kind == INT96:
        raw = np.ascontiguousarray(values)
        nanos = raw[:, :8].copy().view("<i8")[:, 0]
        days = raw[:, 8:].copy().view("<i4")[:, 0].astype(np.int64)
        values = (days - _JULIAN_1970) * _DAY_US + nanos // 1000
    stamps = values.astype("<i8").view(f"M8[{('', 'ms', 'us', 'ns')[unit]}]")
    return ["" if text == "NaT" else text for text in np.datetime_as_string(stamps).tolist()]


def _clock(value: int, a_second: int) -> str:
    seconds, part = divmod(value, a_second)
    minutes, seconds = divmod(seconds, 60)
    hours, minutes = divmod(minutes, 60)
    return f"{hours}:{minutes:02d}:{seconds:02d}.{part * 1_000_000 // a_second:06d}"
