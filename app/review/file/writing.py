"""What a saving writes, row by row; the caller holds the transaction."""

from __future__ import annotations

import hashlib
import sqlite3
from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING

from app.review.file.delta import Delta, RowChange, asset_ids_of, to_text
from app.review.file.schema import ASSET, TABLE_OF, earlier_tables, lacks
from app.review.parts.about import META

if TYPE_CHECKING:
    from app.review.file.store import UndoStep


def apply(
    connection: sqlite3.Connection, changes: Delta, assets: Mapping[str, bytes], revision: str
) -> None:
    """Write changes, and of the bulky things those that new rows refer to.

    Parameters
    ----------
    assets : asked only for what the file does not hold
    """
    _add_columns(connection)
    for table in {change.table.name: change.table for change in changes.rows}.values():
        if lacks(connection, table):
            connection.execute(table.create)
    for change in changes.rows:
        _write_row(connection, change)
    new = ((change.table, change.after) for change in changes.rows if change.after is not None)
    for asset_id in asset_ids_of(new):
        if not holds(connection, asset_id):
            held = changes.assets if asset_id in changes.assets else assets
            if (data := held.get(asset_id)) is not None:
                insert_asset(connection, asset_id, data)
    set_meta(connection, "revision", revision)


def _add_columns(connection: sqlite3.Connection) -> None:
    """Make tables from before columns were added to them as today's, row by row.

    Anew, not by ALTER TABLE ADD: the column would come last, and the table be made otherwise.
    """
    for name, text in earlier_tables(connection).items():
        table = TABLE_OF[name]
        lacking = table.earlier[text]
        kept = ", ".join(column for column in table.columns if column not in lacking)
        connection.execute(f"ALTER TABLE {name} RENAME TO earlier_{name}")
        connection.execute(table.create)
        connection.execute(
            f"INSERT INTO {name} ({kept}, {', '.join(lacking)})"
            f" SELECT {kept}, {', '.join('?' * len(lacking))} FROM earlier_{name} ORDER BY rowid",
            tuple(table.added[column] for column in lacking),
        )
        connection.execute(f"DROP TABLE earlier_{name}")


def holds(connection: sqlite3.Connection, asset_id: str) -> bool:
    """Whether a file has a bulky thing."""
    found = connection.execute("SELECT 1 FROM asset WHERE id = ?", (asset_id,)).fetchone()
    return found is not None


def insert_asset(connection: sqlite3.Connection, asset_id: str, data: bytes) -> None:
    """Write a bulky thing, unless the file holds it already."""
    if not holds(connection, asset_id):
        row = ASSET.row(id=asset_id, sha256=digest(data), size=len(data), data=data)
        connection.execute("INSERT INTO asset VALUES (?, ?, ?, ?)", row)


def write_undo(connection: sqlite3.Connection, undo: Iterable[UndoStep], revision: str) -> None:
    """Write what can be taken back; it holds for the file as it is under this revision."""
    connection.execute("DELETE FROM undo")
    connection.executemany(
        "INSERT INTO undo VALUES (?, ?, ?)",
        [(i, step.label, to_text(step.changes)) for i, step in enumerate(undo)],
    )
    set_meta(connection, "undo_revision", revision)


def set_meta(connection: sqlite3.Connection, key: str, value: str) -> None:
    """Set what is said under a key."""
    before = (key, "")  # whatever it was: a row that is there is changed in its place
    _write_row(connection, RowChange(META, before, META.row(key=key, value=value)))


def digest(data: bytes) -> str:
    """SHA-256 in hexadecimal."""
    return hashlib.sha256(data).hexdigest()


def _write_row(connection: sqlite3.Connection, change: RowChange) -> None:
    """Write one row; one that changed is changed in its place, which touches no index."""
    table, before, after = change.table, change.before, change.after
    where = " AND ".join(f"{column} = ?" for column in table.key)
    if after is None:
        if before is not None:
            key = table.key_of(before)
            connection.execute(f"DELETE FROM {table.name} WHERE {where}", key)
        return
    if before is not None:
        said = dict(zip(table.columns, after, strict=True))
        new = {column: value for column, value in said.items() if column not in table.key}
        sets = ", ".join(f"{column} = ?" for column in new)
        update = f"UPDATE {table.name} SET {sets} WHERE {where}"
        if new and connection.execute(update, (*new.values(), *table.key_of(after))).rowcount:
            return
    marks = ", ".join("?" * len(after))
    connection.execute(f"INSERT OR REPLACE INTO {table.name} VALUES ({marks})", after)
