"""A review in its file: one SQLite database, old or new as a whole at every moment.

The tables are in schema.py. A connection lives only as long as one reading or one saving, so that
a disk pulled out and put back in between harms nothing.
"""

from __future__ import annotations

import contextlib
import os
import sqlite3
import uuid
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

from app.review.check import check_change, check_state
from app.review.errors import ChangedElsewhere, DamagedReview, FileLost, ReviewError
from app.review.file import schema
from app.review.file.contents import Budget, check_schema, quick_check, read_table
from app.review.file.delta import RowChange, asset_ids, asset_ids_of, delta, from_text
from app.review.file.guard import connect
from app.review.file.older.rows import BULKY, todays
from app.review.file.schema import ASSET, UNDO
from app.review.file.sentences import sentences
from app.review.file.writing import apply, digest, insert_asset, write_undo
from app.review.state import ReviewState, read_state
from app.review.text import plain

Cancelled = Callable[[], bool]
RawRows = dict[str, list[Mapping[str, Any]]]
# What is read of the steps to take back; what is written is less (see undoing.py).
_MOST_UNDO_STEPS: Final = 200
_MOST_UNDO_BYTES: Final = 2_000_000


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


def read_review(path: Path) -> ReviewState:
    """Read a review file; one of an older schema is brought up to date in memory.

    Raises
    ------
    ReviewError
        No file, no review, a newer schema, a damaged file. The file is left as it is.
    """
    return read_file(path).state


def read_file(path: Path, cancelled: Cancelled | None = None) -> Opened:
    """Read all of a review file but its bulky things.

    Parameters
    ----------
    cancelled : asked while the file is read; True ends it

    Raises
    ------
    ReviewError
        As `read_review`, or cancelled.
    """
    path = Path(path)
    with sentences(path, "opened"), connect(path, cancelled=cancelled) as connection:
        # One transaction, so that a saving in between cannot mix two states.
        connection.execute("BEGIN")
        version = _checked_version(connection, path)
        quick_check(connection)
        opened = _read(connection, path, version)
        check_state(opened.state)
        return opened


def read_asset(path: Path, asset_id: str) -> bytes:
    """Read a bulky thing.

    Raises
    ------
    ReviewError
        It is not there, or is no longer what was written.
    """
    path = Path(path)
    with sentences(path, "opened"), connect(path) as connection:
        version = _checked_version(connection, path)
        return _asset(connection, path, version, asset_id)


def asset_size(path: Path, asset_id: str) -> int:
    """Bytes of a bulky thing, 0 where it is not there; raises ReviewError for no review."""
    path = Path(path)
    with sentences(path, "opened"), connect(path) as connection:
        if _checked_version(connection, path) < schema.SCHEMA_VERSION:
            return 0
        found = connection.execute("SELECT size FROM asset WHERE id = ?", (asset_id,)).fetchone()
        return int(found[0]) if found and isinstance(found[0], int) else 0


def asset_names(path: Path) -> frozenset[str]:
    """The ids of all bulky things a file holds."""
    path = Path(path)
    with sentences(path, "opened"), connect(path) as connection:
        tables = [ASSET.name] if _checked_version(connection, path) > 2 else list(BULKY)
        known = schema.statements(schema.version_of(connection))
        return frozenset(
            str(id_)
            for table in tables
            if table in known
            for (id_,) in connection.execute(f"SELECT id FROM {table}")
        )


def create_file(
    path: Path,
    state: ReviewState,
    assets: Mapping[str, bytes] | None = None,
    undo: Iterable[UndoStep] = (),
) -> Stamp:
    """Write a new review file, whole or not at all; one that is there is replaced.

    Parameters
    ----------
    assets : bulky things that do not follow from the state: voices and logos

    Raises
    ------
    ReviewError
        The state cannot be kept, or the file cannot be written.
    """
    from app.files.atomic import replacing

    check_state(state)
    revision = uuid.uuid4().hex
    with sentences(path, "made"), replacing(path) as part:
        connection = sqlite3.connect(part, isolation_level=None)
        try:
            # Nobody relies on the part: it is synced as a whole before it takes the name.
            connection.execute("PRAGMA journal_mode = OFF")
            connection.execute("PRAGMA synchronous = OFF")
            schema.create_tables(connection)
            connection.execute("BEGIN")
            # By its own word a mapping that looks things up only when asked holds nothing.
            given = {} if assets is None else assets
            apply(connection, delta(None, state), given, revision)
            for asset_id, data in given.items():
                insert_asset(connection, asset_id, data)
            write_undo(connection, undo, revision)
            connection.execute("COMMIT")
        finally:
            connection.close()
        # Before it takes the name: a disk that goes right after must not make it look unsaved.
        return _stamp(part, revision)


def save(
    path: Path,
    stamp: Stamp,
    old: ReviewState,
    new: ReviewState,
    assets: Mapping[str, bytes],
) -> tuple[Path, Stamp]:
    """Write what changed in one transaction; the file holds the old state or the new one.

    An older file becomes one of today's; the older one is kept beside it (see `older_copy`).

    Parameters
    ----------
    stamp, old : of the file as it was read or written last
    assets : bulky things that do not follow from the state; asked for those that new rows refer to
        and the file does not hold

    Returns
    -------
    path, stamp
        Where the file is now, for it may have been renamed meanwhile, and its new stamp.

    Raises
    ------
    ChangedElsewhere
        Somebody else saved the review since.
    FileLost
        The file is gone, or another review lies under its name.
    ReviewError
        It cannot be written.
    """
    check_change(new, old)
    path = find(path, stamp)
    if stamp.version < schema.SCHEMA_VERSION:
        from app.review.file.older.migrate import migrate

        return path, migrate(path, stamp, new, assets)
    changes = delta(old, new)
    revision = uuid.uuid4().hex
    with sentences(path, "saved"), connect(path, write=True) as connection:
        connection.execute("BEGIN IMMEDIATE")
        _refuse_changed(connection, path, stamp, old)
        apply(connection, changes, assets, revision)
        # Before the end: a disk that goes right after must not make what is saved look unsaved.
        stamp = _stamp(path, revision)
        connection.execute("COMMIT")
    return path, stamp


def finish(path: Path, stamp: Stamp, undo: tuple[UndoStep, ...], keep: frozenset[str]) -> None:
    """Put a file in order when its review is closed: what to take back, and no room for nothing.

    Parameters
    ----------
    keep : ids of the bulky things that are still needed; the others go, and their bytes with them

    Raises
    ------
    ReviewError
        It cannot be written, or somebody else saved it since; nothing is lost then.
    """
    if stamp.version < schema.SCHEMA_VERSION:
        return
    path = find(path, stamp)
    with sentences(path, "saved"), connect(path, write=True) as connection:
        connection.execute("BEGIN IMMEDIATE")
        _checked_version(connection, path)
        if _revision(connection) != stamp.revision:
            return
        write_undo(connection, undo, stamp.revision)
        there = {str(id_) for (id_,) in connection.execute("SELECT id FROM asset")}
        # What the rows name is asked of the file itself: two states that are equal may be written
        # with other digits, and so under another id.
        gone = [(id_,) for id_ in there - keep - _named(connection)]
        connection.executemany("DELETE FROM asset WHERE id = ?", gone)
        connection.execute("COMMIT")
        # Not `execute`, which stops after the first page: no row has a column.
        connection.executescript("PRAGMA incremental_vacuum;")


def _named(connection: sqlite3.Connection) -> frozenset[str]:
    """The bulky things the rows of a file refer to."""
    return frozenset(
        str(id_)
        for table in schema.PART_TABLES
        if table.asset
        for (id_,) in connection.execute(f"SELECT {table.asset} FROM {table.name}")
    )


def find(path: Path, stamp: Stamp) -> Path:
    """Where a file is now: under its name, or renamed within its folder.

    Raises
    ------
    FileLost
        It is neither.
    """
    try:
        found = path.stat()
        if (found.st_dev, found.st_ino) == (stamp.device, stamp.inode):
            return path
        exists = True
    except OSError:
        exists = False
    if exists and stamp.version < schema.SCHEMA_VERSION:
        return path  # its old file may lie beside it as the earlier version, which is not ours
    renamed = _renamed(path, stamp)
    if renamed is not None:
        return renamed
    if exists:
        return path  # synchronised folders write a file anew; its revision tells
    raise FileLost(
        f"{plain(path.name)} is no longer in {plain(str(path.parent), 200)}: it was moved or "
        "removed."
    )


def _renamed(path: Path, stamp: Stamp) -> Path | None:
    """The file under another name in its folder.

    An inode alone tells nothing: the system gives that of a removed file to the next one made.
    """
    with contextlib.suppress(OSError), os.scandir(path.parent) as entries:
        for entry in entries:
            there = path.with_name(entry.name)
            if entry.inode() == stamp.inode and there.suffix == path.suffix and there != path:
                with (
                    contextlib.suppress(ReviewError),
                    sentences(there, "opened"),
                    connect(there) as connection,
                ):
                    _checked_version(connection, there)
                    if _revision(connection) == stamp.revision:
                        return there
    return None


def _checked_version(connection: sqlite3.Connection, path: Path) -> int:
    """The version of the tables, once they are known to be nothing but a review's own."""
    version = schema.version_of(connection)
    name = plain(path.name)
    if version > schema.SCHEMA_VERSION:
        raise ReviewError(
            f"{name} was made by a newer version of Strokeside (file version {version}, this "
            f"one reads up to {schema.SCHEMA_VERSION}); it was left as it is, so update Strokeside "
            "to open it."
        )
    statements = schema.statements(version)
    if not statements:
        raise ReviewError(
            f"{name} has the file version {version}, which no version of Strokeside wrote; it was "
            "left as it is."
        )
    check_schema(connection, statements, name)
    return version


def _read(connection: sqlite3.Connection, path: Path, version: int) -> Opened:
    rows = _rows(connection, version)
    made: dict[str, bytes] = {}
    if version < schema.SCHEMA_VERSION:
        rows, made = todays(rows)
    undo_rows = rows.pop(UNDO.name, [])

    def asset(asset_id: str) -> bytes:
        if asset_id in made:
            return made[asset_id]
        return _asset(connection, path, version, asset_id)

    state, _lost = read_state(rows, asset)
    meta = {row["key"]: row["value"] for row in rows["meta"]}
    stamp = _stamp(path, str(meta.get("revision", "")), version)
    fits = meta.get("undo_revision") == stamp.revision
    return Opened(state, stamp, _undo(undo_rows) if fits else ())


def _rows(connection: sqlite3.Connection, version: int) -> RawRows:
    """Every row of the tables that hold no bulky things, within bounds."""
    budget = Budget()
    rows: RawRows = {}
    for table in schema.statements(version):
        if table not in (ASSET.name, *BULKY):
            columns = _columns(connection, table)
            rows[table] = list(read_table(connection, table, columns, budget=budget))
    return rows


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


def _asset(connection: sqlite3.Connection, path: Path, version: int, asset_id: str) -> bytes:
    if version >= schema.SCHEMA_VERSION:
        found = connection.execute("SELECT data, sha256 FROM asset WHERE id = ?", (asset_id,))
        row = found.fetchone()
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


def _refuse_changed(
    connection: sqlite3.Connection, path: Path, stamp: Stamp, old: ReviewState
) -> None:
    """Refuse to write over what somebody else saved, or into another review."""
    version = _checked_version(connection, path)
    meta = dict(connection.execute("SELECT key, value FROM meta"))
    if str(meta.get("revision", "")) == stamp.revision:
        return
    name = plain(path.name)
    if old.review_id and meta.get("review_id") != old.review_id:
        raise FileLost(f"Another review lies under the name {name} now.")
    theirs = _read(connection, path, version)
    check_state(theirs.state)
    raise ChangedElsewhere(f"{name} was changed by another program since.", theirs, stamp.revision)


def _revision(connection: sqlite3.Connection) -> str:
    row = connection.execute("SELECT value FROM meta WHERE key = 'revision'").fetchone()
    return str(row[0]) if row else ""


def _stamp(path: Path, revision: str, version: int = schema.SCHEMA_VERSION) -> Stamp:
    found = path.stat()
    return Stamp(revision, found.st_dev, found.st_ino, version)


def wanted_assets(state: ReviewState, undo: Iterable[UndoStep]) -> frozenset[str]:
    """The bulky things a state and its steps to take back refer to."""
    rows = (
        (change.table, row)
        for step in undo
        for change in step.changes
        for row in (change.before, change.after)
        if row is not None
    )
    return asset_ids(state) | asset_ids_of(rows)
