"""A review in its file: one SQLite database, old or new as a whole at every moment.

The tables are in schema.py. A connection lives only as long as one reading or one saving, so that
a disk pulled out and put back in between harms nothing.
"""

from __future__ import annotations

import contextlib
import itertools
import os
import shutil
import sqlite3
import tempfile
import uuid
from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path

from app.review.check import check_state
from app.review.errors import ReviewError
from app.review.file import rows, schema
from app.review.state import ReviewState

_FIRST_WITH_WALKTHROUGHS = 2
BUSY_S = 2.0  # how long to wait for another program that is reading or saving


def read_review(path: Path) -> ReviewState:
    """Read a review file; an older schema is brought up to date on a copy in memory.

    Raises
    ------
    ReviewError
        No file, no review, a newer schema, a damaged file. The file is left as it is.
    """
    return read_with_revision(path)[0]


def read_with_revision(path: Path) -> tuple[ReviewState, str]:
    """Read a review file and the mark of its last saving.

    Raises
    ------
    ReviewError
        As `read_review`.
    """
    path = Path(path)
    with _sentences(path, "opened"), _connect(path) as connection:
        _refuse_foreign(connection, path)
        if schema.version_of(connection) < schema.SCHEMA_VERSION:
            with contextlib.closing(_upgraded_copy(connection, path)) as copy:
                return rows.read_rows(copy), rows.read_revision(copy)
        # One transaction, so that a saving in between cannot mix two states.
        connection.execute("BEGIN")
        return rows.read_rows(connection), rows.read_revision(connection)


@dataclass(frozen=True)
class Sounds:
    """What a saving does to the voices' samples, which lie outside the state.

    Attributes
    ----------
    add : WAV files by their ids; those the file holds already are not written again
    drop : ids of sounds that no state refers to any more
    copy_from : a review file whose sounds are carried over into a new file
    logos : all pictures the file is to hold, PNG by their ids; None leaves them as they are
    """

    add: Mapping[str, bytes] = field(default_factory=dict)
    drop: Collection[str] = ()
    copy_from: Path | None = None
    logos: Mapping[str, bytes] | None = None


def read_sound(path: Path, sound_id: str) -> bytes:
    """Read the samples of a voice as a WAV file; raises ReviewError when they are not there."""
    path = Path(path)
    with _sentences(path, "opened"), _connect(path) as connection:
        _refuse_foreign(connection, path)
        row = connection.execute("SELECT wav FROM voice_sound WHERE id = ?", (sound_id,)).fetchone()
    if row is None:
        raise ReviewError(f"The sound of this voice note is not in {path.name}; record it anew.")
    return bytes(row[0])


def read_logo(path: Path, logo_id: str) -> bytes:
    """Read a logo as PNG; raises ReviewError when it is not there."""
    path = Path(path)
    with _sentences(path, "opened"), _connect(path) as connection:
        _refuse_foreign(connection, path)
        row = None
        if schema.version_of(connection) >= schema.SCHEMA_VERSION:
            found = connection.execute("SELECT png FROM logo WHERE id = ?", (logo_id,))
            row = found.fetchone()
    if row is None:
        raise ReviewError(f"The logo is not in {path.name}; choose it again.")
    return bytes(row[0])


def sound_ids(path: Path, unused: bool = False) -> frozenset[str]:
    """Which sounds a review file holds, or only those nothing of it refers to."""
    path = Path(path)
    with _sentences(path, "opened"), _connect(path) as connection:
        _refuse_foreign(connection, path)
        where = " WHERE id NOT IN (SELECT sound_id FROM voice)" if unused else ""
        if unused and schema.version_of(connection) >= _FIRST_WITH_WALKTHROUGHS:
            where += " AND id NOT IN (SELECT sound_id FROM walkthrough)"
        found = connection.execute(f"SELECT id FROM voice_sound{where}")
        return frozenset(str(id_) for (id_,) in found)


def write_review(
    path: Path, state: ReviewState, expected: str | None = None, sounds: Sounds | None = None
) -> str:
    """Write a review whole: whatever happens, the file holds the old state or the new one.

    A file that does not exist is written beside its place and then renamed. An older file is
    kept beside the new one under `older_copy`'s name.

    Parameters
    ----------
    expected : the mark of the last saving this state builds on; None overwrites whatever is there
    sounds : samples of voices to add or to drop in the same transaction; others stay as they are

    Returns
    -------
    str
        The mark of this saving.

    Raises
    ------
    ReviewError
        The file cannot be written, is none of ours, or was saved by another window since.
    """
    path = Path(path)
    check_state(state)
    revision = uuid.uuid4().hex
    sounds = sounds or Sounds()
    with _sentences(path, "saved"):
        if not path.exists():
            _write_new(path, state, revision, sounds)
        elif not _write_in_place(path, state, revision, expected, sounds):
            _replace_older(path, state, revision, sounds)
    return revision


def older_copy(path: Path, version: int) -> Path:
    """Where a file of an older schema is kept when its review is saved: a name nobody has yet."""
    for count in itertools.count(1):
        again = f"-{count}" if count > 1 else ""
        kept = path.with_name(f"{path.stem}.schema-{version}{again}{path.suffix}")
        if not kept.exists():
            break
    return kept


def _write_in_place(
    path: Path, state: ReviewState, revision: str, expected: str | None, sounds: Sounds
) -> bool:
    """Save in one transaction; False when the file has an older schema."""
    with _connect(path) as connection:
        _refuse_foreign(connection, path)
        if schema.version_of(connection) < schema.SCHEMA_VERSION:
            return False
        connection.execute("BEGIN IMMEDIATE")
        if expected is not None and rows.read_revision(connection) != expected:
            raise ReviewError(
                f"{path.name} was changed by another window since it was opened here; "
                "nothing was overwritten, so save this review under another name."
            )
        rows.write_rows(connection, state, revision)
        _write_sounds(connection, sounds)
        connection.execute("COMMIT")
    return True


def _write_sounds(connection: sqlite3.Connection, sounds: Sounds) -> None:
    """Add and drop sounds; the caller holds the transaction."""
    if sounds.copy_from is not None:
        with contextlib.suppress(sqlite3.Error), _connect(sounds.copy_from) as old:
            _insert_sounds(connection, old.execute("SELECT id, wav FROM voice_sound"))
    present = {id_ for (id_,) in connection.execute("SELECT id FROM voice_sound")}
    _insert_sounds(connection, [item for item in sounds.add.items() if item[0] not in present])
    connection.executemany("DELETE FROM voice_sound WHERE id = ?", [(i,) for i in sounds.drop])
    if sounds.logos is not None:
        connection.execute("DELETE FROM logo")
        connection.executemany("INSERT INTO logo VALUES (?, ?)", list(sounds.logos.items()))


def _insert_sounds(connection: sqlite3.Connection, items: Iterable[tuple[str, bytes]]) -> None:
    connection.executemany("INSERT OR IGNORE INTO voice_sound VALUES (?, ?)", items)


def _write_new(path: Path, state: ReviewState, revision: str, sounds: Sounds) -> None:
    handle, name = tempfile.mkstemp(prefix=f".{path.stem[:40]}-", suffix=".part", dir=path.parent)
    os.close(handle)
    part = Path(name)
    try:
        with _connect(part) as connection:
            connection.execute("BEGIN IMMEDIATE")
            schema.create_tables(connection)
            rows.write_rows(connection, state, revision)
            _write_sounds(connection, sounds)
            connection.execute("COMMIT")
        # mkstemp makes files private to their owner; a review has the rights of any new file.
        part.chmod(0o666 & ~_umask())
        part.replace(path)
        _sync_folder(path.parent)
    finally:
        part.unlink(missing_ok=True)
        part.with_name(part.name + "-journal").unlink(missing_ok=True)


def _replace_older(path: Path, state: ReviewState, revision: str, sounds: Sounds) -> None:
    with _connect(path) as connection:
        kept = older_copy(path, schema.version_of(connection))
        part = kept.with_name(f".{kept.name}.part")
        try:
            shutil.copy2(path, part)
            part.replace(kept)
        finally:
            part.unlink(missing_ok=True)
    # What was spoken lies outside the state, and comes along.
    _write_new(path, state, revision, replace(sounds, copy_from=sounds.copy_from or kept))


def _umask() -> int:
    mask = os.umask(0o022)
    os.umask(mask)
    return mask


def _sync_folder(folder: Path) -> None:
    """Make the new name itself survive a power cut, where the system can."""
    with contextlib.suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


@contextlib.contextmanager
def _connect(path: Path) -> Iterator[sqlite3.Connection]:
    # mode=rw never makes a file; a reader needs it too, to roll back what a crash left half done.
    uri = path.absolute().as_uri() + "?mode=rw"
    connection = sqlite3.connect(uri, uri=True, timeout=BUSY_S, isolation_level=None)
    try:
        connection.execute("PRAGMA synchronous = FULL")
        yield connection
    finally:
        connection.close()  # an open transaction is rolled back


def _refuse_foreign(connection: sqlite3.Connection, path: Path) -> None:
    if not schema.is_review(connection):
        raise ReviewError(f"{path.name} is not a review, and was left as it is.")
    version = schema.version_of(connection)
    if version > schema.SCHEMA_VERSION:
        raise ReviewError(
            f"{path.name} was made by a newer version of Strokeside (file version {version}, this "
            f"one reads up to {schema.SCHEMA_VERSION}); it was left as it is, so update Strokeside "
            "to open it."
        )


def _upgraded_copy(connection: sqlite3.Connection, path: Path) -> sqlite3.Connection:
    """Return a copy in memory, brought up to this version step by step."""
    copy = sqlite3.connect(":memory:", isolation_level=None)
    connection.backup(copy)
    for version in range(schema.version_of(copy), schema.SCHEMA_VERSION):
        step = schema.UPGRADES.get(version)
        if step is None:
            copy.close()
            raise ReviewError(
                f"{path.name} has the file version {version}, which no version of Strokeside "
                "wrote; it was left as it is."
            )
        step(copy)
        copy.execute(f"PRAGMA user_version = {version + 1}")
    return copy


@contextlib.contextmanager
def _sentences(path: Path, verb: str) -> Iterator[None]:
    """Turn what SQLite and the system say into a sentence for the coach."""
    try:
        yield
    except sqlite3.Error as error:
        raise ReviewError(_sqlite_sentence(path, verb, error)) from error
    except OSError as error:
        reason = (error.strerror or "the system refused").lower()
        raise ReviewError(f"{path.name} could not be {verb} in {path.parent}: {reason}.") from error


def _sqlite_sentence(path: Path, verb: str, error: sqlite3.Error) -> str:
    name = path.name
    code = getattr(error, "sqlite_errorcode", None)
    primary = code & 0xFF if isinstance(code, int) else None
    if verb == "opened" and not path.exists():
        return f"There is no file {name} in {path.parent}; choose the review where it lies now."
    if path.is_dir():
        return f"{name} is a folder, not a review; choose the .review file itself."
    if primary == sqlite3.SQLITE_NOTADB:
        return f"{name} is not a review, and was left as it is."
    if primary == sqlite3.SQLITE_FULL:
        return f"{name} could not be {verb} because the disk is full; free some space."
    if primary in (sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED):
        return f"{name} could not be {verb} because another program is using it; close that one."
    if primary in (sqlite3.SQLITE_READONLY, sqlite3.SQLITE_CANTOPEN, sqlite3.SQLITE_PERM):
        guarded = "reading" if verb == "opened" else "writing"
        return f"{name} could not be {verb} because it or its folder is protected from {guarded}."
    if primary == sqlite3.SQLITE_IOERR:
        return (
            f"{name} could not be {verb} because its disk did not answer; check that it is there."
        )
    return (
        f"{name} could not be {verb}: the file is damaged ({error}); it was left as it is, so take "
        "a copy from your backup."
    )
