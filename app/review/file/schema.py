"""The tables of a review file: those of the parts, and those of the file itself.

Every table is described in docs/review-file.md.
"""

from __future__ import annotations

import sqlite3
from typing import Final

from app.review.file.header import APPLICATION_ID
from app.review.file.older.schema_1 import TABLES_1
from app.review.file.older.schema_2 import TABLES_2
from app.review.file.older.schema_3 import TABLES_3
from app.review.parts.state import PARTS
from app.review.values.part import Table

SCHEMA_VERSION: Final = 4

# Bulky things that are written once: voices, pictures, paths, the course of a walkthrough.
ASSET: Final = Table(
    "asset",
    {
        "id": "TEXT NOT NULL",
        "sha256": "TEXT NOT NULL",
        "size": "INTEGER NOT NULL",
        "data": "BLOB NOT NULL",
    },
    ("id",),
    words=("recording or track", "recordings or tracks"),
)
# What was changed last, so that it can be taken back also after closing.
UNDO: Final = Table(
    "undo",
    {"place": "INTEGER NOT NULL", "label": "TEXT NOT NULL", "changes": "TEXT NOT NULL"},
    ("place",),
    words=("step to take back", "steps to take back"),
)
PART_TABLES: Final[tuple[Table, ...]] = tuple(t for part in PARTS for t in part.tables)
TABLE_OF: Final = {table.name: table for table in (*PART_TABLES, ASSET, UNDO)}
# The tables' names by what made them in files of this version before columns were added.
EARLIER: Final = {text: name for name, table in TABLE_OF.items() for text in table.earlier}


def create_tables(connection: sqlite3.Connection) -> None:
    """Turn an empty database into an empty review file."""
    # What is deleted gives its room back a little at a time, without writing the whole file anew.
    connection.execute("PRAGMA auto_vacuum = INCREMENTAL")
    connection.execute(f"PRAGMA application_id = {APPLICATION_ID}")
    connection.execute(f"PRAGMA user_version = {SCHEMA_VERSION}")
    for table in TABLE_OF.values():
        connection.execute(table.create)


def statements(version: int) -> dict[str, str]:
    """The statement that made each table of a version; empty for a version nobody wrote."""
    if version == SCHEMA_VERSION:
        return {name: table.create for name, table in TABLE_OF.items()}
    made = {1: TABLES_1, 2: (*TABLES_1, *TABLES_2), 3: TABLES_3}.get(version, ())
    return {sql.split("(")[0].split()[-1]: sql for sql in made}


def lacks(connection: sqlite3.Connection, table: Table) -> bool:
    """Whether a file is from before a table that came late to its version."""
    asked = "SELECT 1 FROM sqlite_schema WHERE type = 'table' AND name = ?"
    return table.late and connection.execute(asked, (table.name,)).fetchone() is None


def late_tables(connection: sqlite3.Connection) -> frozenset[str]:
    """The tables of today's version that a file lacks rightfully."""
    return frozenset(name for name, table in TABLE_OF.items() if lacks(connection, table))


def earlier_tables(connection: sqlite3.Connection) -> dict[str, str]:
    """The tables of today's version that lack columns added to it later: what made each, by name.

    Only word for word as they were made then; anything else is left to be refused.
    """
    asked = f"type = 'table' AND sql IN ({', '.join('?' * len(EARLIER))})"
    found = connection.execute(f"SELECT name, sql FROM sqlite_schema WHERE {asked}", (*EARLIER,))
    return {name: text for name, text in found if EARLIER[text] == name}


def version_of(connection: sqlite3.Connection) -> int:
    """Return the schema version a file says it has."""
    return int(connection.execute("PRAGMA user_version").fetchone()[0])


def is_review(connection: sqlite3.Connection) -> bool:
    """Whether a database says it is a review."""
    return int(connection.execute("PRAGMA application_id").fetchone()[0]) == APPLICATION_ID
