"""A force table out of JSON: rows of objects, columns of lists, lists of rows, or strokes.

How programs write a table differs; what does not is that it is the longest run of rows in the file.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

from analysis.force.endings import JSON
from analysis.force.trace import TraceError

MOST_BYTES: Final = 96 * 2**20
MOST_PARTS: Final = 4_000_000  # lists and objects: each takes far more memory than its brackets
DEEPEST: Final = 6
MOST_COLUMNS: Final = 64
FEWEST: Final = 5  # rows of a table
CLEARLY: Final = 3  # times as many rows as any other table
NAMED: Final = 5


@dataclass(frozen=True)
class _Table:
    where: str
    names: tuple[str, ...]
    rows: list[Any]  # of cells, or of lists of numbers where each is a stroke

    def lines(self) -> Iterator[str]:
        if any(self.names):
            yield "\t".join(self.names) + "\n"
        for row in self.rows:
            yield "\t".join(_cell(cell) for cell in row) + "\n"


def looks_like_json(ending: str, head: bytes) -> bool:
    """Whether a file is to be read as JSON: by its ending, or by how it begins."""
    if ending.lower() in JSON:
        return b"\x00" not in head
    begin = head.removeprefix(b"\xef\xbb\xbf").lstrip()
    return begin.startswith((b'{"', b"[{", b"[[", b"{\n", b"{\r"))


def table_of_json(path: Path, name: str) -> tuple[Iterator[str], tuple[str, ...]]:
    """Give the table in a JSON file as lines parted by tabs.

    Raises
    ------
    TraceError
        It is no JSON, holds no table or several, or is too long.
    """
    if path.stat().st_size > MOST_BYTES:
        raise TraceError(f"{name} is JSON and too long to be read so; export it as .csv.")
    try:
        text = path.read_text("utf-8-sig")
        if text.count("[") + text.count("{") > MOST_PARTS:
            raise TraceError(f"{name} is JSON with more parts than are read; export it as .csv.")
        whole = _parsed(text)
    except TraceError:
        raise
    except (ValueError, RecursionError, OSError):
        raise TraceError(
            f"{name} is damaged JSON or not in UTF-8; export it once more, or as .csv."
        ) from None
    tables = sorted(_tables(whole, "", 0), key=lambda table: -len(table.rows))
    if not tables:
        raise TraceError(
            f"{name} is JSON without a table of numbers; export the samples of the force over time."
        )
    if len(tables) > 1 and len(tables[0].rows) < CLEARLY * len(tables[1].rows):
        listed = ", ".join(f"“{table.where}”" for table in tables[:NAMED])
        raise TraceError(
            f"{name} holds {len(tables)} tables ({listed}); export the one with the handle force "
            "alone."
        )
    return tables[0].lines(), ()


def _parsed(text: str) -> Any:
    try:
        return json.loads(text)
    except ValueError:
        return [json.loads(line) for line in text.splitlines() if line.strip()]


def _tables(value: Any, where: str, depth: int) -> Iterator[_Table]:
    """Every table in a value; what makes a table is not looked into once more."""
    if depth > DEEPEST:
        return
    if isinstance(value, list):
        yield from _of_list(value, where, depth)
    elif isinstance(value, dict):
        own = _of_columns(value, where)
        if own is not None:
            yield own
            return
        for key, inner in value.items():
            yield from _tables(inner, f"{where}.{key}".strip(".")[:60], depth + 1)


def _of_list(rows: list[Any], where: str, depth: int) -> Iterator[_Table]:
    if not rows:
        return
    objects = [row for row in rows if isinstance(row, dict)]
    if len(objects) > 0.9 * len(rows):
        yield from _of_objects(objects, where, depth)
    elif all(isinstance(row, list) for row in rows):
        if all(_is_cell(cell) for row in rows for cell in row) and len(rows) > 1:
            yield _Table(where, (), rows)
    elif len(rows) >= FEWEST and all(_is_cell(cell) for cell in rows):
        yield _Table(where, (_last(where),), [[cell] for cell in rows])


def _of_objects(objects: list[dict[str, Any]], where: str, depth: int) -> Iterator[_Table]:
    names = list(dict.fromkeys(key for row in objects[:100] for key in row))[:MOST_COLUMNS]
    flat = [n for n in names if all(_is_cell(row.get(n)) for row in objects)]
    listed = [n for n in names if all(_is_series(row.get(n)) for row in objects)]
    if len(listed) == 1:
        yield _Table(where, (), [[listed[0]], *(row[listed[0]] for row in objects)])
    elif flat and len(objects) >= FEWEST:
        yield _Table(where, tuple(map(_plain, flat)), [[r.get(n) for n in flat] for r in objects])
    else:
        for i, row in enumerate(objects[:100]):
            yield from _tables(row, f"{where}[{i}]", depth + 1)


def _of_columns(value: dict[str, Any], where: str) -> _Table | None:
    """A table written by columns, or as pandas splits one into names and data."""
    names, data = value.get("columns"), value.get("data")
    if isinstance(names, list) and isinstance(data, list) and _are_rows(data):
        return _Table(where, tuple(_plain(str(n)) for n in names), data)
    columns = {
        key: list(inner.values()) if isinstance(inner, dict) else inner
        for key, inner in value.items()
        if isinstance(inner, list | dict) and len(inner) >= FEWEST
    }
    columns = {key: inner for key, inner in columns.items() if all(map(_is_cell, inner))}
    lengths = {len(inner) for inner in columns.values()}
    if not columns or len(lengths) != 1 or len(columns) > MOST_COLUMNS:
        return None
    rows = [list(row) for row in zip(*columns.values(), strict=True)]
    return _Table(where, tuple(map(_plain, columns)), rows)


def _are_rows(data: list[Any]) -> bool:
    return len(data) >= FEWEST and all(
        isinstance(row, list) and all(map(_is_cell, row)) for row in data
    )


def _is_cell(value: Any) -> bool:
    return value is None or isinstance(value, str | int | float)


def _is_series(value: Any) -> bool:
    numbers = isinstance(value, list) and len(value) >= FEWEST
    return numbers and all(isinstance(cell, int | float) for cell in value)


def _cell(cell: Any) -> str:
    if cell is None or isinstance(cell, bool):
        return ""
    if isinstance(cell, float):
        return f"{cell:.15g}"
    return _plain(str(cell))


def _plain(text: str) -> str:
    # A quote would take all up to the next one, rows below, for one cell.
    return " ".join(text.replace('"', " ").split())[:200]


def _last(where: str) -> str:
    return where.rpartition(".")[2]
