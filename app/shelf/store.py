"""The coach's shelf: one SQLite file in their data folder, for several windows at once."""

from __future__ import annotations

import contextlib
import json
import os
import sqlite3
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Final

from app.files import atomic
from app.review.answers import load_json
from app.review.values.errors import ReviewError
from app.review.values.text import plain
from app.review.voice import samples_of
from app.shelf.errors import ShelfError
from app.shelf.explanation import Explanation, KeptVoice, new_explanation_id
from app.shelf.record import LONGEST_VOICE_S, as_record, from_record

FILE_NAME: Final = "shelf.db"
VERSION: Final = 1
MOST_KEPT: Final = 500
MOST_SOUND_BYTES: Final = 1 << 30  # of all voices together; so a file of them can be read again
MOST_BODY_BYTES: Final = 4_000_000
DEEPEST: Final = 12
BUSY_S: Final = 20.0  # how long to wait for another window that writes
_APPLICATION: Final = 0x5374_5368  # "StSh"
_TABLES: Final = (
    "CREATE TABLE explanation (id TEXT PRIMARY KEY, place INTEGER NOT NULL, body TEXT NOT NULL)"
    " WITHOUT ROWID",
    "CREATE TABLE sound (id TEXT PRIMARY KEY, wav BLOB NOT NULL)",
    f"PRAGMA application_id = {_APPLICATION}",
    f"PRAGMA user_version = {VERSION}",
)
_OWN: Final = {("table", "explanation"), ("table", "sound")}
_SAMPLE_S: Final = 0.01  # by how much a voice may be shorter or longer than what is said of it


@dataclass(frozen=True)
class ShelfList:
    """What is on the shelf, the newest first, and a sentence for what was passed over."""

    kept: tuple[Explanation, ...] = ()
    problems: tuple[str, ...] = ()

    def of(self, code: str) -> tuple[Explanation, ...]:
        """What is offered for a finding, the newest first."""
        return tuple(kept for kept in self.kept if code in kept.codes)


@dataclass(frozen=True)
class Entry:
    """An explanation with the samples of its voice, as a WAV file."""

    explanation: Explanation
    wav: bytes | None = None


class Shelf:
    """The explanations a coach keeps. Each call is a transaction of its own; any thread may call.

    Parameters
    ----------
    path : its file; made with the first thing that is kept
    """

    def __init__(self, path: Path) -> None:
        self.path = Path(path)

    def listed(self) -> ShelfList:
        """List it; raises ShelfError where the file cannot be read."""
        if not self.path.exists():
            return ShelfList()
        with self._open() as db:
            rows = db.execute("SELECT id, body FROM explanation ORDER BY place DESC").fetchall()
        kept, problems = [], 0
        for own_id, body in rows:
            try:
                kept.append(_read(own_id, body))
            except (ShelfError, ReviewError):
                problems += 1
        said = f"{problems} of your explanations could not be read and were passed over."
        return ShelfList(tuple(kept), (said,) if problems else ())

    def sound(self, explanation_id: str) -> bytes:
        """Give the voice of an explanation as a WAV file; raises ShelfError where it is gone."""
        with self._open() as db:
            row = db.execute("SELECT wav FROM sound WHERE id = ?", (explanation_id,)).fetchone()
        if row is None or not isinstance(row[0], bytes):
            raise ShelfError("The voice of that explanation is no longer on your shelf.")
        return row[0]

    def keep(self, kept: Explanation, wav: bytes | None = None) -> None:
        """Keep one more; raises ShelfError where it cannot be kept."""
        self.add((Entry(kept, wav),))

    def add(self, entries: Iterable[Entry]) -> int:
        """Keep several, all or none.

        Returns
        -------
        int
            How many came new; what is there already, just so, is not kept twice, and another one
            of the same id gets an id of its own.

        Raises
        ------
        ShelfError
            One of them cannot be kept, or the shelf is full; it is as it was.
        """
        new = 0
        with self._writing() as db:
            for entry in entries:
                new += _put(db, entry)
            _check_room(db)
        return new

    def change(self, kept: Explanation) -> None:
        """Put other words into the place of an explanation; raises ShelfError where it is gone."""
        with self._writing() as db:
            done = db.execute(
                "UPDATE explanation SET body = ? WHERE id = ?", (_body(_as_read(kept)), kept.id)
            )
            if done.rowcount != 1:
                raise ShelfError("That explanation is no longer on your shelf.")

    def remove(self, explanation_id: str) -> Entry:
        """Take an explanation off the shelf, its voice with it, and give it back for an undo."""
        with self._writing() as db:
            row = db.execute(
                "SELECT body FROM explanation WHERE id = ?", (explanation_id,)
            ).fetchone()
            if row is None:
                raise ShelfError("That explanation is no longer on your shelf.")
            sound = db.execute("SELECT wav FROM sound WHERE id = ?", (explanation_id,)).fetchone()
            for table in ("explanation", "sound"):
                db.execute(f"DELETE FROM {table} WHERE id = ?", (explanation_id,))
            return Entry(_read(explanation_id, row[0]), None if sound is None else sound[0])

    @contextlib.contextmanager
    def _writing(self) -> Iterator[sqlite3.Connection]:
        """One transaction: all of it is kept, or nothing."""
        with self._open(make=True) as db:
            db.execute("BEGIN IMMEDIATE")
            try:
                yield db
                db.execute("COMMIT")
            except BaseException:
                if db.in_transaction:
                    db.execute("ROLLBACK")
                raise

    @contextlib.contextmanager
    def _open(self, make: bool = False) -> Iterator[sqlite3.Connection]:
        db: sqlite3.Connection | None = None
        try:
            if make:
                _make_file(self.path)
            db = sqlite3.connect(self.path, timeout=BUSY_S, isolation_level=None)
            # One letter that is none must not cost the other explanations.
            db.text_factory = lambda raw: raw.decode("utf-8", "replace")
            _settle(db, self.path.name)
            yield db
        # What SQLite says of a damaged file may be no text itself.
        except (sqlite3.Error, OSError, UnicodeDecodeError) as error:
            raise ShelfError(_sentence(error)) from error
        finally:
            if db is not None:
                db.close()


def check_entry(entry: Entry) -> None:
    """Refuse an entry whose voice is not the one it speaks of; raises ShelfError."""
    voice = entry.explanation.voice
    if (voice is None) != (entry.wav is None):
        raise ShelfError("An explanation and its voice do not belong together.")
    if voice is not None and entry.wav is not None:
        _check_sound(voice, entry.wav)


def _check_sound(voice: KeptVoice, wav: bytes) -> None:
    try:
        length_s = len(samples_of(wav)) / voice.sample_hz
    except ReviewError as error:
        raise ShelfError("The voice of an explanation cannot be read.") from error
    if abs(length_s - voice.length_s) > _SAMPLE_S or length_s > LONGEST_VOICE_S:
        raise ShelfError("The voice of an explanation is not as long as is said of it.")


def _put(db: sqlite3.Connection, entry: Entry) -> bool:
    kept = _as_read(entry.explanation)
    check_entry(entry)
    row = db.execute("SELECT body FROM explanation WHERE id = ?", (kept.id,)).fetchone()
    if row is not None:
        sound = db.execute("SELECT wav FROM sound WHERE id = ?", (kept.id,)).fetchone()
        if row[0] == _body(kept) and (None if sound is None else sound[0]) == entry.wav:
            return False
        kept = replace(kept, id=new_explanation_id())
    db.execute(
        "INSERT INTO explanation SELECT ?, coalesce(max(place), 0) + 1, ? FROM explanation",
        (kept.id, _body(kept)),
    )
    if entry.wav is not None:
        db.execute("INSERT INTO sound VALUES (?, ?)", (kept.id, entry.wav))
    return True


def _as_read(kept: Explanation) -> Explanation:
    """The explanation as it will be read again, here or from a file; so it can be."""
    try:
        return from_record(json.loads(_body(kept)))
    except ShelfError as error:
        raise ShelfError(
            "That is more than the shelf keeps of one explanation; shorten its words, its voice or "
            "its drawing."
        ) from error


def _check_room(db: sqlite3.Connection) -> None:
    count = db.execute("SELECT count(*) FROM explanation").fetchone()[0]
    heard = db.execute("SELECT coalesce(sum(length(wav)), 0) FROM sound").fetchone()[0]
    if count > MOST_KEPT or heard > MOST_SOUND_BYTES:
        raise ShelfError(
            "Your shelf has no room for more; it is as it was: remove what you no longer use."
        )


def _body(kept: Explanation) -> str:
    return json.dumps(as_record(kept), ensure_ascii=True, separators=(",", ":"))


def _read(own_id: object, body: object) -> Explanation:
    if not isinstance(own_id, str) or not isinstance(body, str):
        raise ShelfError("An explanation on the shelf is none.")
    said = load_json(body.encode("utf-8", "replace"), "The shelf", MOST_BODY_BYTES, DEEPEST)
    kept = from_record(said)
    if kept.id != own_id:
        raise ShelfError("An explanation on the shelf has another name than its place.")
    return kept


def _make_file(path: Path) -> None:
    """Make the file so that nobody else may read it, before anything is in it."""
    path.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
    with contextlib.suppress(FileExistsError):
        os.close(atomic.create(path, atomic.PRIVATE))


def _settle(db: sqlite3.Connection, name: str) -> None:
    """Make the tables of a new shelf; refuse what is none, or of a newer program."""
    db.execute("PRAGMA trusted_schema = OFF")
    db.execute("BEGIN")  # all that is asked is of one moment
    settled = _is_settled(db, name)
    db.execute("COMMIT")
    if settled:
        return
    db.execute("BEGIN IMMEDIATE")
    # Another window may have made them meanwhile.
    if not _is_settled(db, name):
        for statement in _TABLES:
            db.execute(statement)
    db.execute("COMMIT")


def _is_settled(db: sqlite3.Connection, name: str) -> bool:
    """Whether it is a shelf; False where it is empty, ShelfError where it is anything else."""
    listed = db.execute("SELECT type, name FROM sqlite_master").fetchall()
    application = db.execute("PRAGMA application_id").fetchone()[0]
    version = db.execute("PRAGMA user_version").fetchone()[0]
    if not listed and application == version == 0:
        return False
    if application == _APPLICATION and version > VERSION:
        raise ShelfError(
            f"{plain(name)} was written by a newer Strokeside, and was left as it is: bring this "
            "one up to date."
        )
    # A trigger or a view would act on what is kept.
    own = {row for row in listed if not str(row[1]).startswith("sqlite_")}
    if (application, version, own) != (_APPLICATION, VERSION, _OWN):
        raise ShelfError(
            f"{plain(name)} is no shelf of explanations, and was left as it is: put it elsewhere, "
            "and a new shelf is begun."
        )
    return True


def _sentence(error: sqlite3.Error | OSError | UnicodeDecodeError) -> str:
    if isinstance(error, UnicodeDecodeError):
        why = "its file is damaged"
    elif isinstance(error, OSError):
        why = (error.strerror or "the system refused").lower()
    elif "locked" in str(error) or "busy" in str(error):
        why = "another window is writing to it"
    elif isinstance(error, sqlite3.DatabaseError) and not isinstance(
        error, sqlite3.OperationalError
    ):
        why = "its file is damaged"
    else:
        why = str(error)
    return f"Your shelf of explanations cannot be used ({why}); it was left as it is."
