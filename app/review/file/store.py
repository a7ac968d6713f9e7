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
from pathlib import Path
from typing import Final

from app.review.file import schema
from app.review.file.contents import quick_check
from app.review.file.delta import asset_ids, asset_ids_of, delta
from app.review.file.guard import LONGEST_VALUE, connect
from app.review.file.older.rows import BULKY, WITH_ASSETS
from app.review.file.reading import (
    Opened,
    Stamp,
    UndoStep,
    asset_of,
    checked_version,
    read_opened,
    revision_of,
    stamp_of,
)
from app.review.file.schema import ASSET
from app.review.file.sentences import sentences
from app.review.file.writing import apply, insert_asset, write_undo
from app.review.parts.about import identity
from app.review.parts.check import check_change, check_state
from app.review.parts.state import ReviewState
from app.review.values.errors import ChangedElsewhere, FileLost, ReviewError
from app.review.values.text import plain

Cancelled = Callable[[], bool]
_LONGEST_NAME: Final = 255 - len("-journal")  # or SQLite could not save what was made


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
        version = checked_version(connection, path)
        quick_check(connection)
        opened = read_opened(connection, path, version)
        check_state(opened.state)
        return opened


def read_asset(path: Path, asset_id: str, most_bytes: int = LONGEST_VALUE) -> bytes:
    """Read a bulky thing.

    Raises
    ------
    ReviewError
        It is not there, is no longer what was written, or is larger.
    """
    path = Path(path)
    with sentences(path, "opened"), connect(path) as connection:
        version = checked_version(connection, path)
        return asset_of(connection, path, version, asset_id, most_bytes)


def asset_size(path: Path, asset_id: str) -> int:
    """Bytes of a bulky thing, 0 where it is not there; raises ReviewError for no review."""
    path = Path(path)
    with sentences(path, "opened"), connect(path) as connection:
        if checked_version(connection, path) < WITH_ASSETS:
            return 0
        found = connection.execute("SELECT size FROM asset WHERE id = ?", (asset_id,)).fetchone()
        return int(found[0]) if found and isinstance(found[0], int) else 0


def asset_names(path: Path) -> frozenset[str]:
    """The ids of all bulky things a file holds."""
    path = Path(path)
    with sentences(path, "opened"), connect(path) as connection:
        is_asset = checked_version(connection, path) >= WITH_ASSETS
        tables = [ASSET.name] if is_asset else list(BULKY)
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
    if len(os.fsencode(path.name) if os.name == "posix" else path.name) > _LONGEST_NAME:
        raise ReviewError(
            f"The name {plain(path.name)} is too long for a review; choose a shorter one."
        )
    if path.name.endswith(("-journal", "-wal", "-shm")):
        raise ReviewError(
            f"The name {plain(path.name)} is one of SQLite's own, which it deletes; choose another."
        )
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
        return stamp_of(part, revision)


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
        from app.review.file.migrate import migrate

        return path, migrate(path, stamp, new, assets)
    changes = delta(old, new)
    revision = uuid.uuid4().hex
    with sentences(path, "saved"), connect(path, write=True) as connection:
        connection.execute("BEGIN IMMEDIATE")
        _refuse_changed(connection, path, stamp, old)
        apply(connection, changes, assets, revision)
        # Before the end: a disk that goes right after must not make what is saved look unsaved.
        stamp = stamp_of(path, revision)
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
        checked_version(connection, path)
        if revision_of(connection) != stamp.revision:
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
        if table.asset and not schema.lacks(connection, table)
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
                    checked_version(connection, there)
                    if revision_of(connection) == stamp.revision:
                        return there
    return None


def _refuse_changed(
    connection: sqlite3.Connection, path: Path, stamp: Stamp, old: ReviewState
) -> None:
    """Refuse to write over what somebody else saved, or into another review."""
    version = checked_version(connection, path)
    meta = dict(connection.execute("SELECT key, value FROM meta"))
    if str(meta.get("revision", "")) == stamp.revision:
        return
    name = plain(path.name)
    if old.review_id and identity(str(meta.get("review_id", ""))) != old.review_id:
        raise FileLost(f"Another review lies under the name {name} now.")
    theirs = read_opened(connection, path, version)
    check_state(theirs.state)
    raise ChangedElsewhere(f"{name} was changed by another program since.", theirs, stamp.revision)


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
