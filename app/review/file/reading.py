"""What a review file holds, read through an open connection: its state, and what it is known by."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

from app.review.file import schema
from app.review.file.contents import Budget, check_schema, read_table
from app.review.file.delta import RowChange, from_text
from app.review.file.guard import LONGEST_VALUE
from app.review.file.older.rows import BULKY, WITH_ASSETS, todays
from app.review.file.schema import ASSET, UNDO
from app.review.file.writing import digest
from app.review.parts.state import ReviewState, read_state
from app.review.values.errors import DamagedReview, ReviewError
from app.review.values.text import plain

RawRows = dict[str, list[Mapping[str, Any]]]
# What is read of the steps to take back; what is written is less (see undoing.py).
_MOST_UNDO_STEPS: Final = 200
_MOST_UNDO_BYTES: Final = 2_000_000
_MOST_TRACK_BYTES: Final = 64_000_000  # of all assets that are read to make a state


@dataclass(frozen=True)
class Stamp:
    """By what a file is known to be the one that was read or written last.

    Attributes
    ----------
    revision : a random mark, new with every saving
    device, inode : of the file itself, whatever its name
    version : of its tables
    """

    revision: str
    device: int
    inode: int
    version: int = schema.SCHEMA_VERSION


@dataclass(frozen=True)
class UndoStep:
    """A change that can be taken back after closing: its label, and the rows it changed."""

    label: str
    changes: tuple[RowChange, ...]


@dataclass(frozen=True)
class Opened:
    """What a review file holds."""

    state: ReviewState
    stamp: Stamp
    undo: tuple[UndoStep, ...] = ()


def checked_version(connection: sqlite3.Connection, path: Path) -> int:
    """The version of the tables, once they are known to be nothing but a review's own."""
    version = schema.version_of(connection)
    name = plain(path.name)
    if version > schema.SCHEMA_VERSION:
        raise ReviewError(
            f"{name} was made by a newer version of Strokeside (file version {version}, this "
            f"one reads up to {schema.SCHEMA_VERSION}); it was left as it is, so update Strokeside "
            "to open it."
        )
    statements = _statements(connection, version)
    if not statements:
        raise ReviewError(
            f"{name} has the file version {version}, which no version of Strokeside wrote; it was "
            "left as it is."
        )
    check_schema(connection, statements, name)
    return version


def read_opened(connection: sqlite3.Connection, path: Path, version: int) -> Opened:
    """Read all but the bulky things; the tables were checked before. Raises ReviewError."""
    rows, made = todays(_rows(connection, version), version)
    undo_rows = rows.pop(UNDO.name, [])

    left = _MOST_TRACK_BYTES

    def asset(asset_id: str) -> bytes:
        nonlocal left
        if asset_id in made:
            return made[asset_id]
        data = asset_of(connection, path, version, asset_id, left)
        left -= len(data)
        return data

    state, _lost = read_state(rows, asset)
    meta = {row["key"]: row["value"] for row in rows["meta"]}
    stamp = stamp_of(path, str(meta.get("revision", "")), version)
    fits = meta.get("undo_revision") == stamp.revision
    return Opened(state, stamp, _undo(undo_rows) if fits else ())


def _rows(connection: sqlite3.Connection, version: int) -> RawRows:
    """Every row of the tables that hold no bulky things, within bounds."""
    budget = Budget()
    rows: RawRows = {}
    for table in _statements(connection, version):
        if table not in (ASSET.name, *BULKY):
            columns = _columns(connection, table)
            rows[table] = list(read_table(connection, table, columns, budget=budget))
    return rows


def _statements(connection: sqlite3.Connection, version: int) -> dict[str, str]:
    """What made the tables of a file, without those and the columns it lacks rightfully."""
    made = schema.statements(version)
    if version < schema.SCHEMA_VERSION:
        return made
    lacking = schema.late_tables(connection)
    made |= schema.earlier_tables(connection)
    return {name: text for name, text in made.items() if name not in lacking}


def _columns(connection: sqlite3.Connection, table: str) -> tuple[str, ...]:
    """Names of a table's columns; its statement was compared with ours before."""
    return tuple(str(row[1]) for row in connection.execute(f"PRAGMA table_info({table})"))


def _undo(rows: Iterable[Mapping[str, Any]]) -> tuple[UndoStep, ...]:
    """The steps to take back; an unreadable one costs itself and those before it."""
    steps: list[UndoStep] = []
    left = _MOST_UNDO_BYTES
    for row in sorted(rows, key=lambda row: -row["place"] if type(row["place"]) is int else 0):
        changes = str(row["changes"])
        left -= len(changes)
        if left < 0 or len(steps) == _MOST_UNDO_STEPS:
            break  # more than is ever written: not worth reading
        try:
            steps.append(UndoStep(plain(str(row["label"]), 80), from_text(changes)))
        except ReviewError:
            break
    return tuple(reversed(steps))


def asset_of(
    connection: sqlite3.Connection,
    path: Path,
    version: int,
    asset_id: str,
    most_bytes: int = LONGEST_VALUE,
) -> bytes:
    """Give a bulky thing.

    Raises
    ------
    ReviewError
        It is gone, no longer what was written, or larger.
    """
    if version >= WITH_ASSETS:
        # Asked before it is brought into memory; of what is no blob, nothing is.
        found = connection.execute(
            "SELECT CASE WHEN length(data) <= ? THEN data END, sha256 FROM asset"
            " WHERE id = ? AND typeof(data) = 'blob'",
            (most_bytes, asset_id),
        )
        row = found.fetchone()
        if row is not None and row[0] is None:
            raise ReviewError(f"A track in {plain(path.name)} is longer than any review's.")
        if row is not None:
            data = bytes(row[0]) if isinstance(row[0], bytes) else b""
            if digest(data) != row[1]:
                raise DamagedReview(
                    f"A recording or track in {plain(path.name)} is damaged; recover the review, "
                    "or take an earlier version of it."
                )
            return data
    else:
        known = schema.statements(version)
        for table, column in BULKY.items():
            if table in known:
                found = connection.execute(
                    f"SELECT {column} FROM {table} WHERE id = ?", (asset_id,)
                )
                if (row := found.fetchone()) is not None and isinstance(row[0], bytes):
                    return bytes(row[0])
    raise ReviewError(f"A recording of this review is not in {plain(path.name)}; record it anew.")


def revision_of(connection: sqlite3.Connection) -> str:
    """The mark of the last saving, "" where there is none."""
    row = connection.execute("SELECT value FROM meta WHERE key = 'revision'").fetchone()
    return str(row[0]) if row else ""


def stamp_of(path: Path, revision: str, version: int = schema.SCHEMA_VERSION) -> Stamp:
    """What a file with this mark is known by now; raises OSError."""
    found = path.stat()
    return Stamp(revision, found.st_dev, found.st_ino, version)
