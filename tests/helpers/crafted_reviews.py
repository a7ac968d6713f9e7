"""Review files as a stranger could craft them, each by a function of a genuine file's path."""

from __future__ import annotations

import functools
import sqlite3
import struct
import tempfile
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

from app.review.file import schema
from app.review.parts.notes import Note
from app.review.parts.state import ReviewState
from tests.helpers.reviews import write_review

Craft = Callable[[Path], object]
JOURNAL_MAGIC = bytes.fromhex("d9d505f920a163d7")
ENDLESS = "WITH RECURSIVE n(i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM n)"


def genuine(path: Path) -> None:
    path.write_bytes(_genuine())


@functools.cache
def _genuine() -> bytes:
    notes = tuple(Note(f"id{i}", float(i), "Hands away first. " * 20) for i in range(30))
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder, "a.review")
        write_review(path, ReviewState(title="Steady piece", notes=notes))
        return path.read_bytes()


def run(*statements: str) -> Craft:
    """Let SQLite itself make the change."""

    def craft(path: Path) -> None:
        with closing(sqlite3.connect(path, isolation_level=None)) as db:
            for statement in statements:
                db.execute(statement)

    return craft


def schema_edit(*statements: str) -> Craft:
    """Write into the list of tables what SQLite would not make by itself."""
    return run("PRAGMA writable_schema = ON", *statements, "PRAGMA writable_schema = RESET")


def listed(kind: str, name: str, sql: str, root: int = 0) -> Craft:
    def craft(path: Path) -> None:
        with closing(sqlite3.connect(path, isolation_level=None)) as db:
            db.execute("PRAGMA writable_schema = ON")
            db.execute(
                "INSERT INTO sqlite_schema VALUES (?, ?, ?, ?, ?)", (kind, name, name, root, sql)
            )

    return craft


def made_anew(table: str, old: str, new: str, **pragmas: object) -> Craft:
    """Make the whole file anew, one table's text changed."""

    def craft(path: Path) -> None:
        path.unlink()
        with closing(sqlite3.connect(path, isolation_level=None)) as db:
            for name, value in pragmas.items():
                db.execute(f"PRAGMA {name} = {value}")
            db.execute("PRAGMA synchronous = OFF")
            db.execute("BEGIN")
            db.execute(f"PRAGMA application_id = {schema.APPLICATION_ID}")
            db.execute(f"PRAGMA user_version = {schema.SCHEMA_VERSION}")
            for name, text in schema.statements(schema.SCHEMA_VERSION).items():
                if name == table:
                    assert old in text
                    text = text.replace(old, new, 1)
                db.execute(text)
            db.execute("INSERT INTO meta (key, value) VALUES ('title', 'Steady piece')")
            db.execute("COMMIT")

    return craft


def patched(*changes: tuple[int, bytes]) -> Craft:
    def craft(path: Path) -> None:
        data = bytearray(path.read_bytes())
        for at, new in changes:
            data[at : at + len(new)] = new
        path.write_bytes(data)

    return craft


def first_bytes(count: int) -> Craft:
    return lambda path: path.write_bytes(path.read_bytes()[:count])


def beside(suffix: str, content: bytes) -> Craft:
    return lambda path: path.with_name(path.name + suffix).write_bytes(content)


def super_journal(victim: str, pages: int) -> bytes:
    """Write a journal that makes SQLite delete a file of any name."""
    name = victim.encode()
    head = JOURNAL_MAGIC + struct.pack(">IIIII", 0, 0, pages, 512, 4096)
    tail = struct.pack(">I", 1 << 18) + name + struct.pack(">Ii", len(name), sum(name))
    return head.ljust(512, b"\0") + tail + JOURNAL_MAGIC


def sharing_overflow(rows: int, length: int) -> Craft:
    """Let many rows of `meta` share the overflow chain of one long text."""

    def craft(path: Path) -> None:
        with closing(sqlite3.connect(path, isolation_level=None)) as db:
            db.executemany("INSERT INTO meta VALUES (?, ?)", [("a", "x" * length)])
            (root,) = db.execute(
                "SELECT rootpage FROM sqlite_schema WHERE name = 'meta'"
            ).fetchone()
        data = bytearray(path.read_bytes())
        at = (root - 1) * 4096
        count, content = struct.unpack(">HH", data[at + 3 : at + 7])
        pointers = struct.unpack(f">{count}H", data[at + 8 : at + 8 + 2 * count])
        data[at + 3 : at + 5] = struct.pack(">H", count + rows)
        data[at + 8 : at + 8 + 2 * (count + rows)] = struct.pack(
            f">{count + rows}H", *pointers, *[content] * rows
        )
        path.write_bytes(data)

    return craft


def same_pages(path: Path) -> None:
    """Let two tables lie on the same pages."""
    with closing(sqlite3.connect(path, isolation_level=None)) as db:
        db.execute("PRAGMA writable_schema = ON")
        db.execute(
            "UPDATE sqlite_schema SET rootpage ="
            " (SELECT rootpage FROM sqlite_schema WHERE name = 'note') WHERE name = 'pair'"
        )


def on_the_list_itself(path: Path) -> None:
    """Let the notes lie where the list of tables does: a saving would write into it."""
    with closing(sqlite3.connect(path, isolation_level=None)) as db:
        db.execute("PRAGMA writable_schema = ON")
        db.execute("UPDATE sqlite_schema SET rootpage = 1 WHERE name = 'note'")


def without_tables(path: Path) -> None:
    path.unlink()
    run("CREATE TABLE x (a)", "DROP TABLE x", f"PRAGMA application_id = {schema.APPLICATION_ID}")(
        path
    )


def circle(path: Path) -> None:
    """Let the notes' tree lead back to its own root, over and over."""
    with closing(sqlite3.connect(path)) as db:
        (root,) = db.execute("SELECT rootpage FROM sqlite_schema WHERE name = 'note'").fetchone()
    data = bytearray(path.read_bytes())
    at = (root - 1) * 4096
    assert data[at] == 5, "the notes fill more than a page"
    data[at + 8 : at + 12] = struct.pack(">I", root)
    path.write_bytes(data)


VIEW_OF_META = f"CREATE VIEW meta(key, value) AS {ENDLESS} SELECT i, i FROM n"

# What must be refused by its list of tables.
FOREIGN: dict[str, Craft] = {
    "endless view as a table": run("DROP TABLE meta", VIEW_OF_META),
    "view beside": run("CREATE VIEW extra AS SELECT 1"),
    "endless view beside": run(f"CREATE VIEW extra AS {ENDLESS} SELECT i FROM n"),
    "trigger on notes": run("CREATE TRIGGER t AFTER INSERT ON note BEGIN DELETE FROM mark; END"),
    "trigger on meta": run(
        "CREATE TRIGGER t BEFORE DELETE ON meta BEGIN SELECT RAISE(ABORT, 'x'); END"
    ),
    "full text table": run("CREATE VIRTUAL TABLE f USING fts5(a)"),
    "r-tree": run("CREATE VIRTUAL TABLE r USING rtree(a, b, c)"),
    "virtual table as notes": run("DROP TABLE note", "CREATE VIRTUAL TABLE note USING fts5(id)"),
    "dbstat": listed("table", "d", "CREATE VIRTUAL TABLE d USING dbstat"),
    "virtual statistics": listed(
        "table", "sqlite_stat1", "CREATE VIRTUAL TABLE sqlite_stat1 USING fts5(tbl, idx, stat)"
    ),
    "other statistics": run(
        "ANALYZE",
        "PRAGMA writable_schema = ON",
        "UPDATE sqlite_schema SET sql = 'CREATE TABLE sqlite_stat1(tbl,idx,stat,more)'"
        " WHERE name = 'sqlite_stat1'",
    ),
    "generated column": made_anew(
        "meta", "value TEXT NOT NULL", "value TEXT NOT NULL, more AS (hex(key))"
    ),
    "costly check": made_anew(
        "meta", "value TEXT NOT NULL", "value TEXT CHECK (length(hex(hex(hex(value)))) > 0)"
    ),
    "huge default": made_anew(
        "meta", "value TEXT NOT NULL", f"value TEXT DEFAULT '{'x' * 50_000}'"
    ),
    "index on an expression": run("CREATE INDEX i ON note (hex(text))"),
    "plain index": run("CREATE INDEX i ON note (text)"),
    "partial index": run("CREATE INDEX i ON note (text) WHERE video_s > 3"),
    "extra column": run("ALTER TABLE note ADD COLUMN more TEXT"),
    "missing column": run("ALTER TABLE note DROP COLUMN text"),
    "renamed column": run("ALTER TABLE note RENAME COLUMN text TO words"),
    "extra table": run("CREATE TABLE extra (a)"),
    "without rowid": made_anew("meta", "\n)", "\n) WITHOUT ROWID"),
    "strict": made_anew("meta", "\n)", "\n) STRICT"),
    "no unique ids": made_anew("note", ",\n    PRIMARY KEY (id)", ""),
    "other collation": made_anew("meta", "key TEXT NOT NULL", "key TEXT NOT NULL COLLATE NOCASE"),
    "foreign key": made_anew(
        "meta", "value TEXT NOT NULL", "value TEXT NOT NULL REFERENCES note (id) ON DELETE CASCADE"
    ),
    "autoincrement": made_anew(
        "pair",
        schema.TABLE_OF["pair"].create,
        "CREATE TABLE pair (place INTEGER PRIMARY KEY AUTOINCREMENT, video_s REAL, trace_s REAL)",
    ),
    "escape codes in a name": run('CREATE TABLE "\x1b[2J\x1b]0;owned\x07\u202ename" (a)'),
    "a very long name": run(f'CREATE TABLE "{"n" * 20_000}" (a)'),
    "two thousand tables": run("BEGIN", *(f"CREATE TABLE t{i} (a)" for i in range(2000)), "COMMIT"),
}
# What must be refused as lacking, damaged, or too large to look at.
BROKEN: dict[str, Craft] = {
    "table missing": run("DROP TABLE note"),
    "no tables": without_tables,
    "index dropped": schema_edit(
        "DELETE FROM sqlite_schema WHERE name LIKE 'sqlite_autoindex_note%'"
    ),
    "same pages": same_pages,
    "on the list itself": on_the_list_itself,
    "unreadable list": listed("table", "x", "CREATE TABLE \x1b[31m nonsense", 3),
    "a megabyte of list": listed("view", "v", "CREATE VIEW v AS SELECT '" + "x" * 1_000_000 + "'"),
    "deep expression": listed(
        "view", "v", "CREATE VIEW v AS SELECT " + "(" * 900 + "1" + ")" * 900
    ),
    "circle": circle,
    "sharing overflow": sharing_overflow(500, 900_000),
    "cut in the middle": first_bytes(50_000),
    "free list of nonsense": patched((32, struct.pack(">II", 3, 4_000_000_000))),
    "page count of nonsense": patched(
        (28, struct.pack(">I", 0xFFFFFFF0)), (24, bytes(4)), (92, bytes(4))
    ),
}
# What must not even be looked into.
UNOPENED: dict[str, Craft] = {
    "0 bytes": first_bytes(0),
    "1 byte": first_bytes(1),
    "99 bytes": first_bytes(99),
    "100 bytes": first_bytes(100),
    "511 bytes": first_bytes(511),
    "no header": patched((0, b"SQLite format 4\0")),
    "another's id": patched((68, b"Abcd")),
    "write-ahead log": patched((18, b"\2\2")),
    "format of the future": patched((18, b"\7\7")),
    "page size 0": patched((16, b"\0\0")),
    "page size 3": patched((16, b"\0\3")),
    "a log beside": beside("-wal", b"x" * 100),
    "an empty log beside": beside("-wal", b""),
    "shared memory beside": beside("-shm", b""),
    "a folder as journal": lambda path: path.with_name(path.name + "-journal").mkdir(),
}
# What is odd but harmless.
HARMLESS: dict[str, Craft] = {
    "as it is": run(),
    "statistics": run("ANALYZE"),
    "page size 512": run("PRAGMA page_size = 512", "VACUUM"),
    "page size 65536": run("PRAGMA page_size = 65536", "VACUUM"),
    "auto vacuum": run("PRAGMA auto_vacuum = FULL", "VACUUM"),
    "incremental vacuum": run("PRAGMA auto_vacuum = INCREMENTAL", "VACUUM"),
    "UTF-16": made_anew("meta", "key", "key", encoding="'UTF-16le'"),
    "other spacing": made_anew("meta", "\n    ", "   \n\t"),
    "empty journal": beside("-journal", b""),
    "zeroed journal": beside("-journal", bytes(1024)),
}
# Rows no review has: reading them is bounded, and shows them as they are.
ODD_ROWS: dict[str, str] = {
    "text for a number": "UPDATE note SET video_s = 'soon'",
    "blob for a text": "UPDATE note SET text = x'00ff'",
    "endless number": "UPDATE note SET video_s = 9e999",
    "largest whole number": "UPDATE note SET stroke = 9223372036854775807",
    "negative places": "UPDATE note SET place = -1 - place",
}
BOMBS: dict[str, str] = {
    "a text of 5 MB": "UPDATE note SET text = printf('%.*c', 5000000, 'x') WHERE rowid = 2",
    "a blob of 60 MB": "UPDATE note SET text = zeroblob(60000000) WHERE rowid = 2",
    "many texts": f"{ENDLESS}"
    " INSERT INTO meta SELECT i, printf('%.*c', 900000, 'x') FROM n LIMIT 80",
}
