"""What a review file opened by guard.py may hold, and its rows within bounds."""

from __future__ import annotations

import functools
import re
import sqlite3
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from app.review.file.guard import damaged, error_code
from app.review.values.errors import DamagedReview, ReviewError
from app.review.values.text import plain

_MOST_ENTRIES: Final = 1000
# What ANALYZE and AUTOINCREMENT of any SQLite program leave; word for word, as names can lie.
_OF_SQLITE: Final = {
    "sqlite_stat1": "CREATE TABLE sqlite_stat1(tbl,idx,stat)",
    "sqlite_stat4": "CREATE TABLE sqlite_stat4(tbl,idx,neq,nlt,ndlt,sample)",
    "sqlite_sequence": "CREATE TABLE sqlite_sequence(name,seq)",
}
_Entry = tuple[str, str, str, str]  # type, name, table, SQL without its spaces
Value = str | int | float | bytes | None


@dataclass
class Budget:
    """What reading a file may cost, shared over all its tables.

    Attributes
    ----------
    bytes_left : of texts and blobs in bytes of UTF-8, eight for every other value
    rows_left : rows of all tables
    longest : bytes of one value
    """

    bytes_left: int = 64_000_000
    rows_left: int = 2_000_000
    longest: int = 1_000_000

    def take(self, values: Sequence[Value]) -> bool:
        """Count a row; False when it is one too many."""
        self.rows_left -= 1
        self.bytes_left -= sum(map(_size, values))
        return self.rows_left >= 0 and self.bytes_left >= 0


def _size(value: Value) -> int:
    if isinstance(value, str):
        return len(value) if value.isascii() else len(value.encode("utf-8", "surrogatepass"))
    return len(value) if isinstance(value, bytes) else 8


def check_schema(connection: sqlite3.Connection, tables: Mapping[str, str], name: str) -> None:
    """Refuse a file that holds anything but a review's own tables, exactly as they are made.

    Parameters
    ----------
    tables : the CREATE TABLE text of every table the file's version has, by its name
    name : the file's name, for the sentence

    Raises
    ------
    ReviewError
        A view, trigger, index, virtual or other table, a table made otherwise, a missing one, or
        two that share their pages.
    """
    name = plain(name)
    entries = _entries(connection, name)
    wanted = _reference(tuple(tables.items()))
    roots: list[int] = []
    for entry, root in entries:
        is_own = entry in wanted
        if not is_own and (entry[0] != "table" or _OF_SQLITE.get(entry[1]) != entry[3]):
            raise DamagedReview(_foreign_sentence(name, entry, entry[1] in tables))
        roots.append(root)
    if len(set(roots)) < len(roots) or min(roots, default=2) < 2:
        raise damaged(name)
    missing = sorted(e[1] for e in wanted - {entry for entry, _ in entries} if e[0] == "table")
    if missing:
        raise DamagedReview(
            f"{name} lacks what every review has (the table {missing[0]}); it was not opened, so "
            "take an earlier version, or let `strokeside recover` take out what it holds."
        )
    if wanted - {entry for entry, _ in entries}:
        raise damaged(name)


def _entries(connection: sqlite3.Connection, name: str) -> list[tuple[_Entry, int]]:
    """Read the list of tables; a shape no list has is damage."""
    before = connection.setlimit(sqlite3.SQLITE_LIMIT_LENGTH, 100_000)
    try:
        found = connection.execute(
            "SELECT type, name, tbl_name, rootpage, sql FROM sqlite_schema LIMIT ?",
            (_MOST_ENTRIES + 1,),
        ).fetchall()
    except sqlite3.Error as error:
        if error_code(error) not in _DAMAGE:
            raise
        raise damaged(name) from error
    finally:
        connection.setlimit(sqlite3.SQLITE_LIMIT_LENGTH, before)
    if len(found) > _MOST_ENTRIES:
        raise ReviewError(f"{name} holds more tables than any review; it was not opened.")
    return [
        ((str(kind), str(own), str(of), _one_spaced(str(sql or ""))), int(root or 0))
        for kind, own, of, root, sql in found
    ]


@functools.lru_cache(maxsize=8)
def _reference(tables: tuple[tuple[str, str], ...]) -> frozenset[_Entry]:
    """Let SQLite itself say what a file made of these tables lists, its own indexes included."""
    connection = sqlite3.connect(":memory:")
    try:
        for _, text in tables:
            connection.execute(text)
        return frozenset(
            (kind, own, of, _one_spaced(sql or ""))
            for kind, own, of, sql in connection.execute(
                "SELECT type, name, tbl_name, sql FROM sqlite_schema"
            )
        )
    finally:
        connection.close()


def _one_spaced(sql: str) -> str:
    return re.sub(r"\s+", " ", sql).strip()


def _foreign_sentence(name: str, entry: _Entry, known: bool) -> str:
    kind, own, _, sql = entry
    if kind == "table" and sql[:14].upper() == "CREATE VIRTUAL":
        kind = "virtual table"
    kind = kind if kind in ("table", "virtual table", "view", "trigger", "index") else "thing"
    called = plain(own, 40)
    what = f"a table {called} made otherwise" if known and kind == "table" else ""
    article = "an" if kind == "index" else "a"
    return (
        f"{name} holds things no review has ({what or f'{article} {kind} called {called}'}); it "
        "was not opened. If it came from somebody else, ask them to send it anew; `strokeside "
        "recover` takes out what is a review's own."
    )


_DAMAGE: Final = (
    sqlite3.SQLITE_CORRUPT,
    sqlite3.SQLITE_NOTADB,
    sqlite3.SQLITE_ERROR,  # an unreadable list of tables; a text that is no UTF-8
    sqlite3.SQLITE_FORMAT,
    sqlite3.SQLITE_TOOBIG,
    None,
)


def quick_check(connection: sqlite3.Connection) -> None:
    """Let SQLite look through all pages; call `check_schema` before.

    Raises
    ------
    ReviewError
        The file is damaged.
    """
    try:
        said = connection.execute("PRAGMA quick_check(1)").fetchone()
    except sqlite3.Error as error:
        if error_code(error) not in _DAMAGE:
            raise
        raise damaged(_name_of(connection)) from error
    if said is None or said[0] != "ok":
        raise damaged(_name_of(connection))


def _name_of(connection: sqlite3.Connection) -> str:
    try:
        file = connection.execute("PRAGMA database_list").fetchone()[2]
    except (sqlite3.Error, TypeError):
        return "The review"
    return plain(Path(file).name) if file else "The review"


def read_table(
    connection: sqlite3.Connection, table: str, columns: Sequence[str], *, budget: Budget
) -> Iterator[dict[str, Value]]:
    """Yield a table's rows in the order of their rowids, within what the budget has left.

    The types are those of the file: what another program put there has yet to be checked. Longer
    values than the budget's are never brought into memory. Indexes are not believed.

    Parameters
    ----------
    table, columns : names of our own, never of the file

    Raises
    ------
    ReviewError
        Damaged, or more than a review holds.
    """
    picked = ", ".join(f'"{column}"' for column in columns)
    cursor: sqlite3.Cursor | None = None
    while True:
        # Narrow only while SQLite works: between two rows the connection is the caller's.
        before = connection.setlimit(sqlite3.SQLITE_LIMIT_LENGTH, budget.longest)
        try:
            if cursor is None:
                cursor = connection.execute(f'SELECT {picked} FROM "{table}" NOT INDEXED')
            row = cursor.fetchone()
        except sqlite3.Error as error:
            raise _reading_error(connection, table, error) from error
        finally:
            connection.setlimit(sqlite3.SQLITE_LIMIT_LENGTH, before)
        if row is None:
            return
        if not budget.take(row):
            cursor.close()
            raise ReviewError(_too_much(_name_of(connection), table))
        yield dict(zip(columns, row, strict=True))


def _reading_error(connection: sqlite3.Connection, table: str, error: sqlite3.Error) -> Exception:
    code = error_code(error)
    if code not in _DAMAGE:
        return error
    name = _name_of(connection)
    if isinstance(error, sqlite3.DataError) or code == sqlite3.SQLITE_TOOBIG:
        return ReviewError(_too_much(name, table))
    return damaged(name)


def _too_much(name: str, table: str) -> str:
    return (
        f"{name} holds more than any review does (in {table}); it was not opened, so ask whoever "
        "sent it to send it anew."
    )
