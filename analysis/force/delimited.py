"""The layout of delimited text, and its numbers."""

from __future__ import annotations

import codecs
import csv
import re
import warnings
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path
from typing import IO, Any

import numpy as np
from numpy.typing import NDArray

from analysis.force.decoding import TextHead
from analysis.force.notation import holds_value, is_clock, is_number, numbers_of, to_number
from analysis.force.trace import FloatArray, TraceError
from analysis.signals.units import known_unit

LOOK_LINES = 300
CHUNK_ROWS = 400_000
MOST_BEYOND = 16  # cells beyond the last column that cost a row nothing

# Tried in this order: where two fit equally well, the earlier one is meant.
_LAYOUTS: tuple[tuple[str, str], ...] = (
    ("\t", "."),
    ("\t", ","),
    (";", "."),
    (";", ","),
    ("|", "."),
    ("|", ","),
    (",", "."),
    (",", ","),  # numbers in quotes
    (" ", "."),
    (" ", ","),
)
_NO_NUMBER = {"", "nan", "na", "n/a", "null", "none", "-", "--", "inf", "+inf", "-inf"}


@dataclass(frozen=True)
class Layout:
    r"""How a text file is laid out.

    Attributes
    ----------
    delimiter : "\t", ";", "|", "," or " " (any run of blanks)
    decimal : "." or ","
    has_header : whether names stand above the numbers
    columns : (C,) names, or "column 1" ... where there is no header
    numeric : columns (from 0) that hold numbers
    data_line : line (from 0) of the first row of numbers
    preamble : lines above header and data
    rows : the first rows, as written
    quoted : whether cells stand in quotes
    """

    delimiter: str
    decimal: str
    has_header: bool
    columns: tuple[str, ...]
    numeric: tuple[int, ...]
    data_line: int
    preamble: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    quoted: bool = False

    def numbers(self, column: int) -> FloatArray:
        """Numbers of a column in the first rows; NaN where there is none."""
        cells = [row[column] if column < len(row) else "" for row in self.rows]
        return np.array([to_number(cell, self.decimal) for cell in cells], dtype=np.float64)


def split(line: str, delimiter: str) -> list[str]:
    """Cells of a line, without quotes and surrounding blanks."""
    if delimiter == " ":
        return [cell.strip('"') for cell in line.split()]
    if '"' not in line:  # nearly every line, and much quicker
        return [cell.strip() for cell in line.split(delimiter)] if line.strip("\r\n") else []
    try:
        cells = next(csv.reader([line], delimiter=delimiter, skipinitialspace=True), [])
    except csv.Error:
        cells = line.split(delimiter)
    return [cell.strip() for cell in cells]


def holds_numbers(layout: Layout, column: int) -> bool:
    """Whether a column holds numbers, be they few: among the first rows there is no word."""
    if column in layout.numeric:
        return True
    if not layout.has_header or not layout.columns[column].strip():
        return False
    cells = (row[column] for row in layout.rows if column < len(row))
    return all(holds_value(c, layout.decimal) or c.lower() in _NO_NUMBER for c in cells)


_FEW_LINES = 3


def find_layout(head: TextHead, name: str) -> Layout:
    """Find delimiter, decimal mark, header and first row of numbers.

    Raises
    ------
    TraceError
        No delimiter gives a table with numbers in it.
    """
    lines = head.lines[:LOOK_LINES]
    scored = _scored(lines)
    best = max(score for score, _ in scored)
    if best <= 0:
        raise _no_table(lines, name)
    delimiter, decimal = next(layout for score, layout in scored if score == best)
    if (delimiter, decimal) == (",", ".") and _is_decimal_comma(lines):
        delimiter, decimal = ";", ","
    if delimiter != decimal and _parts_thousands(lines, delimiter, decimal):
        decimal = "." if decimal == "," else ","
    return _describe(lines, delimiter, decimal, name)


class _Counted(dict[str, bool]):
    """Whether a cell speaks for a layout. Parted thousands speak for none: both marks part.

    The same cells stand in many rows, and in many layouts: each is looked at once.
    """

    def __init__(self, decimal: str) -> None:
        super().__init__()
        self._decimal = decimal

    def __missing__(self, cell: str) -> bool:
        self[cell] = found = is_number(cell, self._decimal) or is_clock(cell)
        return found


def _usual_width(cells: Sequence[list[str]], counted: _Counted) -> int:
    """Most frequent number of cells in lines that hold a number, 0 when none does."""
    widths = Counter(len(row) for row in cells if any(counted[c] for c in row))
    return max(widths, key=lambda width: (widths[width], width)) if widths else 0


def _scored(lines: Sequence[str]) -> list[tuple[int, tuple[str, str]]]:
    """How well each layout fits."""
    written = [line for line in lines if line.strip()]
    is_quoted = any('"' in line for line in written)
    counted = {decimal: _Counted(decimal) for decimal in (".", ",")}
    tables: dict[str, list[list[str]]] = {}
    scores: dict[tuple[str, str], int] = {}
    scored = []
    for delimiter, decimal in _LAYOUTS:
        # Those that stand nowhere part nothing, and so all alike; blanks part at tabs too.
        parts = delimiter == " " or any(delimiter in line for line in written)
        key = delimiter if parts else ""
        if key not in tables:
            tables[key] = [split(line, delimiter) for line in written]
        if (key, decimal) not in scores:
            scores[key, decimal] = _score(tables[key], counted[decimal])
        idle = delimiter == decimal and not is_quoted
        scored.append((0 if idle else scores[key, decimal], (delimiter, decimal)))
    return scored


def _score(cells: Sequence[list[str]], counted: _Counted) -> int:
    """Cells that are numbers less cells that are none, in rows of the usual width."""
    width = _usual_width(cells, counted)
    score = 0
    for row in cells:
        numbers = sum(counted[cell] for cell in row) if len(row) == width else 0
        if numbers:
            others = (cell for cell in row if not counted[cell])
            score += numbers - sum(cell.lower() not in _NO_NUMBER for cell in others)
    return score


def _is_decimal_comma(lines: Sequence[str]) -> bool:
    """Tell one column of decimal commas from two columns of whole numbers.

    A header with or without a comma says which. Without one, two columns would start with a
    count or a clock, which only ever goes up.
    """
    cells = [row for row in (split(line, ",") for line in lines) if row != [""]]
    rows = [row for row in cells if all(is_number(c, ".") for c in row)]
    if not rows or any(len(row) != 2 or not all(c.isdigit() for c in row[1:]) for row in rows):
        return False
    named = next((row for row in cells if not any(is_number(c, ".") for c in row)), None)
    if named is not None:
        return len(named) == 1
    first = [float(row[0]) for row in rows]
    climbing = all(b > a for a, b in pairwise(first))
    return len(rows) > 2 and not climbing


def _parts_thousands(lines: Sequence[str], delimiter: str, mark: str) -> bool:
    """Tell whole numbers with their thousands parted from numbers with three decimals.

    Only where every mark parts three figures, and a column has numbers up to 999 without one.
    """
    cells = [split(line, delimiter) for line in lines]
    marked: set[int] = set()
    bare: set[int] = set()
    for row in cells:
        for column, cell in enumerate(row):
            if not is_number(cell, mark):
                continue
            if mark not in cell:
                bare |= {column} if len(cell.lstrip("+-")) <= 3 else set()
            elif re.fullmatch(rf"[+-]?[1-9]\d{{0,2}}{re.escape(mark)}\d{{3}}", cell):
                marked.add(column)
            else:
                return False
    return bool(marked & bare)


def _no_table(lines: Sequence[str], name: str) -> TraceError:
    """Say what a text without a table is: one with numbers in it is not one without."""
    if sum(any(c.isdigit() for c in line) for line in lines) < _FEW_LINES:
        return TraceError(
            f"{name} holds no rows of numbers; choose the delimited text file the recorder wrote."
        )
    return TraceError(
        f"{name} holds numbers, but no table of samples with a time and a force in each row; "
        "export the samples the recorder took, as .csv, or ask the athlete to."
    )


def _describe(lines: Sequence[str], delimiter: str, decimal: str, name: str) -> Layout:
    cells = [split(line, delimiter) for line in lines]
    width = _usual_width(cells, _Counted(decimal))
    rows = [row for row in cells if len(row) == width]
    numeric = tuple(
        c
        for c in range(width)
        if sum(holds_value(row[c], decimal) for row in rows) >= 0.5 * len(rows)
    )
    data_line = next(
        (i for i, row in enumerate(cells) if _is_data(row, width, numeric, decimal)), None
    )
    if not numeric or data_line is None:
        raise _no_table(lines, name)
    header, header_line = _header(lines, cells, data_line, width, delimiter, decimal)
    columns = header or tuple(f"column {c + 1}" for c in range(width))
    data = [tuple(row) for row in cells[data_line:] if any(row)]
    return Layout(
        delimiter,
        decimal,
        header is not None,
        columns,
        numeric,
        data_line,
        tuple(line for line in lines[:header_line] if line.strip()),
        tuple(data),
        any(cell.startswith('"') for line in lines[data_line:] for cell in line.split(delimiter)),
    )


def _is_data(row: Sequence[str], width: int, numeric: Sequence[int], decimal: str) -> bool:
    """Whether a line is a row of numbers: half of the numeric columns hold one, none a word."""
    cells = [row[c] if c < len(row) else "" for c in numeric]
    found = sum(holds_value(cell, decimal) for cell in cells)
    words = any(not holds_value(c, decimal) and c.lower() not in _NO_NUMBER for c in cells)
    return len(row) <= width and found > 0 and 2 * found >= len(numeric) and not words


def _header(
    lines: Sequence[str],
    cells: Sequence[list[str]],
    data_line: int,
    width: int,
    delimiter: str,
    decimal: str,
) -> tuple[tuple[str, ...] | None, int]:
    """Names of the columns and the line they stand on; None and the data line without."""
    above = [i for i in range(data_line) if lines[i].strip()]
    if not above:
        return None, data_line
    at = above[-1]
    names = _names(lines[at], width, delimiter)
    if names is None or any(holds_value(n, decimal) for n in names):
        return None, data_line
    if len(above) > 1 and all(_looks_like_unit(n) for n in names):
        # A line of units below a line of names: read as "name [unit]".
        upper = _names(lines[above[-2]], width, delimiter)
        if upper is not None and any(upper) and not all(_looks_like_unit(n) for n in upper if n):
            joined = [
                f"{u} [{n.strip('[]()')}]" if n else u for u, n in zip(upper, names, strict=True)
            ]
            return tuple(joined), above[-2]
    return tuple(names), at


def _names(line: str, width: int, delimiter: str) -> list[str] | None:
    bare = line.strip().lstrip("#%/").strip() if line.lstrip()[:1] in "#%/" else line
    names = split(bare, delimiter)
    if delimiter == " " and len(names) != width:
        names = [n.strip() for n in re.split(r"\s{2,}|\t", bare.strip())]
    if width > 1 and len(names) < 2:
        return None
    if abs(len(names) - width) > 1:
        return None
    return [*names, ""][:width]


def _looks_like_unit(name: str) -> bool:
    return (
        re.fullmatch(r"[\[(]?(sec|kgf|lbs|-|)[\])]?|[\[(][^\[\]()]+[\])]", name.lower()) is not None
        or known_unit(name) is not None
    )


def is_cut_short(path: Path, head: TextHead, layout: Layout) -> bool:
    """Whether the last line of a file was cut while it was written.

    It has no line end, and either a cell too few or a last number with fewer decimals than
    every row before it has.
    """
    with path.open("rb") as file:
        mark = file.read(4)
        file.seek(max(0, head.size - 4096 - head.size % 4))
        tail = file.read()
    if head.encoding in ("utf-16", "utf-32") and not tail.startswith(mark):
        # The byte order is marked at the beginning only.
        tail = mark[: 2 if head.encoding == "utf-16" else 4] + tail
    text = codecs.getincrementaldecoder(head.encoding)("replace").decode(tail)
    last = re.split(r"\r\n|\n|\r", text)[-1]
    row = split(last, layout.delimiter)
    if not last.strip() or row == [""]:
        return False
    if len(row) < len(layout.columns):
        return True
    rows = [r for r in layout.rows if len(r) == len(row)][:-1]
    decimals = {len(r[-1].partition(layout.decimal)[2]) for r in rows}
    return (
        len(decimals) == 1
        and len(rows) > 1
        and (len(row[-1].partition(layout.decimal)[2]) < decimals.pop())
    )


def read_columns(
    path: Path, head: TextHead, layout: Layout, wanted: Sequence[int]
) -> tuple[list[FloatArray], int]:
    """Read whole columns of numbers, a chunk at a time.

    Returns
    -------
    One (R,) array for each wanted column, NaN where a cell is no number, and how many lines had
    more cells than the table has columns and were passed over.

    Raises
    ------
    TraceError
        The file cannot be read as a table or does not fit into memory.
    """
    import pandas as pd

    order = sorted(set(wanted))
    width = len(layout.columns)
    if layout.delimiter == "," and not layout.quoted and _has_cells_beyond(path, width):
        # Thousands parted by the delimiter push a cell out: the last column is read with it.
        order = sorted({*order, width - 1, width})
    chunks: list[list[FloatArray]] = [[] for _ in order]
    options = _options(layout, order)
    try:
        with warnings.catch_warnings(record=True) as caught:
            warnings.simplefilter("always")
            with (
                path.open(encoding=head.encoding, errors="replace") as file,
                pd.read_csv(_below_header(file, layout), **options) as reader,
            ):
                for frame in reader:
                    for store, column in zip(chunks, order, strict=True):
                        store.append(_floats(frame[column], layout.decimal))
    except MemoryError:
        raise TraceError(f"{path.name} is too long for this machine's memory; cut it.") from None
    except (ValueError, OSError, csv.Error) as error:  # pandas' own errors are ValueErrors
        reason = str(error).splitlines()[0] if str(error) else type(error).__name__
        raise TraceError(f"{path.name} could not be read as a table ({reason}).") from None
    passed_over = sum(str(w.message).count("Skipping line") for w in caught)
    by_column = {
        c: np.concatenate(store) if store else np.empty(0)
        for c, store in zip(order, chunks, strict=True)
    }
    if width in by_column:
        pushed = _parted(by_column[width - 1], by_column[width])
        passed_over += int(pushed.sum())
        by_column = {c: values[~pushed] for c, values in by_column.items()}
    return [by_column[c] for c in wanted], passed_over


def _options(layout: Layout, order: Sequence[int]) -> dict[str, Any]:
    """How pandas is to read the columns of a table; a column beyond its last brings more."""
    width = len(layout.columns)
    return {
        "sep": r"\s+" if layout.delimiter == " " else layout.delimiter,
        "decimal": layout.decimal,
        "header": None,
        "names": list(range(width + (MOST_BEYOND if width in order else 0))),
        # A table without the cell beyond is refused where that is named as one to use.
        "usecols": None if width in order else order,
        "index_col": False,
        "skipinitialspace": True,
        # A stray quote would swallow rows up to the next one, so quotes count only where used.
        "quoting": csv.QUOTE_MINIMAL if layout.quoted else csv.QUOTE_NONE,
        "on_bad_lines": "warn",
        "chunksize": CHUNK_ROWS,
        "low_memory": False,
    }


def _has_cells_beyond(path: Path, width: int) -> bool:
    """Whether a table has more commas than its columns need: a look that costs next to nothing."""
    commas = lines = 0
    with path.open("rb") as file:
        while chunk := file.read(1 << 22):
            commas += chunk.count(b",")
            lines += chunk.count(b"\n") or chunk.count(b"\r")
    return commas > (width - 1) * (lines + 1)


def _parted(last: FloatArray, beyond: FloatArray) -> NDArray[np.bool_]:
    """Rows whose last two cells are the two parts of one number: 1 | 020.3."""
    whole = (np.abs(last) >= 1.0) & (np.abs(last) <= 999.0) & (last == np.round(last))
    parted: NDArray[np.bool_] = whole & (beyond >= 0.0) & (beyond < 1000.0)
    # Where most rows have such a cell, the table has a column without a name.
    return parted & (parted.mean() < 0.5)


def _below_header(file: IO[str], layout: Layout) -> IO[str]:
    """Pass over the lines above the numbers, line ends of any kind alike."""
    for _ in range(layout.data_line):
        file.readline()
    return file


def _floats(series: Any, decimal: str) -> FloatArray:
    """A column of a chunk as float64, NaN where a cell is no number."""
    import pandas as pd

    if pd.api.types.is_bool_dtype(series) or not pd.api.types.is_numeric_dtype(series):
        return numbers_of(series.astype("string").str.strip(), decimal)
    values: FloatArray = series.to_numpy(dtype=np.float64, na_value=np.nan)
    return values
