"""What a row of each table looks like, to tell rows apart whose table is not known."""

from __future__ import annotations

import sqlite3
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from app.review.file.pages import Value

_MAY_HOLD: Final = {"TEXT": "T", "INTEGER": "I", "REAL": "IR", "BLOB": "B"}
_LETTERS: Final = {str: "T", int: "I", float: "R", bytes: "B"}
_SAMPLE_BYTES: Final = 1000
_RIFF, _PNG = b"RIFF", b"\x89PNG"


@dataclass(frozen=True)
class Shape:
    """One table's columns.

    Attributes
    ----------
    columns : in the order they are stored
    types : what each may hold, as `pages.PageFile.cell` takes it; empty where nobody knows
    lenient : the same, but a text may be marked as a blob: one flipped bit away
    has_alias : whether the first column is the rowid, and stored as nothing
    """

    columns: tuple[str, ...]
    types: tuple[str, ...] = ()
    lenient: tuple[str, ...] = ()
    has_alias: bool = True

    def row(self, rowid: int, values: Sequence[Value]) -> dict[str, Value]:
        """Name a row's values; what an older file did not have yet is None."""
        row: dict[str, Value] = dict.fromkeys(self.columns)
        row.update(zip(self.columns, values, strict=False))
        if self.has_alias and row[self.columns[0]] is None:
            row[self.columns[0]] = rowid
        for column, may in zip(self.columns, self.types, strict=False):
            value = row[column]
            if may.startswith("T") and isinstance(value, bytes):
                row[column] = value.decode("utf-8", "replace")
            elif "R" in may and isinstance(value, int):
                row[column] = float(value)  # SQLite stores 3.0 as 3
        return row


class Shapes:
    """The shapes of all tables, and a database in memory made of our own definitions."""

    def __init__(
        self,
        tables: Mapping[str, tuple[str, ...]],
        definitions: Mapping[str, str] | None,
        earlier: Mapping[str, str] | None = None,
    ) -> None:
        self._made = sqlite3.connect(":memory:", isolation_level=None)
        self._definitions = definitions or {}
        self._earlier = earlier or {}
        for text in self._definitions.values():
            self._made.execute(text)
        self.of = {name: self._shape(name, columns) for name, columns in tables.items()}

    def close(self) -> None:
        """Give the memory back."""
        self._made.close()

    def told(self, name: str, text: object) -> None:
        """What a file says made a table: one of ours from before columns were added, or nothing."""
        if isinstance(text, str) and self._earlier.get(text) == name:
            self._made.execute(f'DROP TABLE "{name}"')
            self._made.execute(text)
            self.of[name] = self._shape(name, ())

    def _shape(self, name: str, columns: tuple[str, ...]) -> Shape:
        info = self._made.execute(f'PRAGMA table_info("{name}")').fetchall()
        if not info:
            return Shape(columns)
        has_alias = info[0][2].upper() == "INTEGER" and [r[5] for r in info].count(0) == (
            len(info) - 1
        )
        has_alias = has_alias and info[0][5] == 1
        types = [_MAY_HOLD.get(r[2].upper(), "TIRB") + ("" if r[3] else "N") for r in info]
        if has_alias:
            types[0] = "N"
        lenient = tuple(t.replace("T", "TB") for t in types)
        return Shape(tuple(r[1] for r in info), tuple(types), lenient, has_alias)

    def roots(self, page_size: int) -> dict[str, int]:
        """Return where each table starts in a file made in one go, as a review's file is."""
        new = sqlite3.connect(":memory:")
        try:
            new.execute(f"PRAGMA page_size = {page_size}")
            for text in self._definitions.values():
                new.execute(text)
            found = new.execute("SELECT name, rootpage FROM sqlite_schema WHERE type = 'table'")
            return {str(name): int(root) for name, root in found}
        finally:
            new.close()

    def takes(self, name: str, rows: Sequence[tuple[int, Sequence[Value]]]) -> bool:
        """Whether a table of ours would take these rows, its checks included; False of none."""
        shape = self.of[name]
        # The types of all rows first: they cost next to nothing.
        return bool(shape.types and rows) and (
            all(_is_of(values, shape.types) and _starts_right(name, values) for _, values in rows)
            and all(self._takes(name, *row) for row in rows)
        )

    def _takes(self, name: str, rowid: int, values: Sequence[Value]) -> bool:
        shape = self.of[name]
        values = [v[:_SAMPLE_BYTES] if isinstance(v, bytes) else v for v in values]
        marks = ", ".join("?" * len(values))
        self._made.execute("BEGIN")
        try:
            self._made.execute(
                f'INSERT INTO "{name}" VALUES ({marks})', tuple(shape.row(rowid, values).values())
            )
        except (sqlite3.Error, UnicodeError):
            return False
        finally:
            self._made.execute("ROLLBACK")
        return True


def _is_of(values: Sequence[Value], types: Sequence[str]) -> bool:
    return len(values) == len(types) and all(
        _LETTERS.get(type(value), "N") in may for value, may in zip(values, types, strict=True)
    )


def _starts_right(name: str, values: Sequence[Value]) -> bool:
    """Tell sounds from pictures, which lie in tables of the same shape."""
    for value in values:
        if isinstance(value, bytes):
            if name == "voice_sound":
                return value.startswith(_RIFF)
            if name == "logo":
                return value.startswith(_PNG)
    return True
