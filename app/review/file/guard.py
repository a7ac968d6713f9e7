"""The door through which every review file is opened: hostile until proven otherwise.

A stranger's database can carry views that never end, triggers that act on a saving, a journal that
makes SQLite delete another file, or values that fill the memory. So the way in is: `connect`, then
`check_schema` before any other statement, then `quick_check`, then `read_table`.
"""

from __future__ import annotations

import contextlib
import os
import sqlite3
import stat
from collections.abc import Callable, Iterator
from pathlib import Path, PurePath, PureWindowsPath
from typing import Final
from urllib.parse import quote

from app.review.file import schema
from app.review.values.errors import DamagedReview, FileBusy, ReviewError
from app.review.values.text import plain

BUSY_S = 2.0  # how long to wait for another program that is reading or saving
SMALLEST_BYTES: Final = 512  # SQLite's smallest page
LARGEST_BYTES: Final = 1 << 36  # 64 GiB: beyond, the page maps of a check alone fill the memory
LONGEST_VALUE: Final = 1_000_000_000  # a long walkthrough's sound; SQLite's own most
SYNCHRONOUS = "EXTRA"  # a change is on the disk before it is called saved
JOURNAL_MAGIC: Final = bytes.fromhex("d9d505f920a163d7")

_LIMITS: Final = (
    (sqlite3.SQLITE_LIMIT_LENGTH, LONGEST_VALUE),
    (sqlite3.SQLITE_LIMIT_SQL_LENGTH, 100_000),
    (sqlite3.SQLITE_LIMIT_ATTACHED, 0),
    (sqlite3.SQLITE_LIMIT_TRIGGER_DEPTH, 0),
    (sqlite3.SQLITE_LIMIT_EXPR_DEPTH, 50),
    (sqlite3.SQLITE_LIMIT_COLUMN, 200),
    (sqlite3.SQLITE_LIMIT_COMPOUND_SELECT, 10),
    (sqlite3.SQLITE_LIMIT_VDBE_OP, 25_000),
    (sqlite3.SQLITE_LIMIT_LIKE_PATTERN_LENGTH, 100),
)
_STEP_OPS: Final = 10_000  # SQLite's steps between two looks at `cancelled`
_MOST_STEPS: Final = 50_000  # some ten seconds; the largest genuine review takes a tenth of it


def uri_of(path: PurePath, mode: str) -> str:
    r"""Write an absolute path as the `file:` URI SQLite understands.

    Parameters
    ----------
    path : absolute; of Windows, a drive (`C:\x`), a share (`\\server\share\x`) or either in its
        long form (`\\?\`)
    mode : the query, such as ``mode=rw``
    """
    text, errors = path.as_posix(), "surrogateescape"
    if isinstance(path, PureWindowsPath):
        errors = "surrogatepass"
        if text.upper().startswith("//?/UNC/"):
            text = "//" + text[8:]
        elif text.startswith("//?/"):
            text = text[4:]
        if not text.startswith("/"):
            text = "/" + text
    # A share keeps its two slashes after the empty authority: SQLite refuses a named one.
    return f"file://{quote(text, safe='/:', errors=errors)}?{mode}"


class _Watch:
    """Ends what was cancelled, and what would never end by itself."""

    def __init__(self, cancelled: Callable[[], bool] | None) -> None:
        self.cancelled = cancelled
        self.steps_left: int | None = _MOST_STEPS
        self.is_cancelled = False

    def __call__(self) -> int:
        if self.cancelled is not None and self.cancelled():
            self.is_cancelled = True
            return 1
        if self.steps_left is not None:
            self.steps_left -= 1
            return int(self.steps_left < 0)
        return 0

    def sentence(self, name: str) -> str:
        if self.is_cancelled:
            return f"Opening {name} was cancelled."
        return f"{name} is built so that reading it would not end; it was not opened."


@contextlib.contextmanager
def connect(
    path: Path, *, write: bool = False, cancelled: Callable[[], bool] | None = None
) -> Iterator[sqlite3.Connection]:
    """Open a review file that anybody may have made, and close it again.

    Nothing of the file but its header and its list of tables has been looked at then: call
    `check_schema` first. A half-finished saving is rolled back, which writes to the file. What a
    writer says about a full or protected disk stays a `sqlite3.Error`.

    Parameters
    ----------
    write : open for saving; False reads also where nothing can be written
    cancelled : asked often while SQLite works; True ends it

    Raises
    ------
    ReviewError
        No regular file, no review, another program's side file, a file that cannot be opened, or
        cancelled.
    """
    name = plain(path.name)
    watch = _Watch(cancelled)
    real = _regular_file(path, name)
    _refuse_side_files(real, name)
    _probe(real, name)
    connection = _opened(real, name, write, watch)
    try:
        yield connection
    except sqlite3.Error as error:
        if error_code(error) == sqlite3.SQLITE_INTERRUPT:
            raise ReviewError(watch.sentence(name)) from error
        raise
    finally:
        connection.close()  # an open transaction is rolled back


def error_code(error: sqlite3.Error) -> int | None:
    """Give SQLite's primary result code of an error, None where there is none."""
    code = getattr(error, "sqlite_errorcode", None)
    return code & 0xFF if isinstance(code, int) else None


def _regular_file(path: Path, name: str) -> Path:
    """Follow links as SQLite does, so that the side files looked at are those it would use."""
    try:
        real = path.resolve(strict=True)
        found = real.stat()
    except (FileNotFoundError, NotADirectoryError) as error:
        raise ReviewError(
            f"There is no file {name} in {plain(str(path.parent), 200)}; choose the review where "
            "it lies now."
        ) from error
    except (OSError, RuntimeError, ValueError) as error:  # a loop of links; a NUL in the name
        raise ReviewError(f"{name} cannot be reached, and was not opened.") from error
    if stat.S_ISDIR(found.st_mode):
        raise ReviewError(f"{name} is a folder, not a review; choose the .review file itself.")
    if not stat.S_ISREG(found.st_mode):
        raise ReviewError(f"{name} is not a file but a device or a pipe; it was not opened.")
    if found.st_size < SMALLEST_BYTES:
        raise ReviewError(f"{name} is not a review, and was left as it is.")
    if found.st_size > LARGEST_BYTES:
        raise ReviewError(f"{name} is too large for a review, and was not opened.")
    return real


def _refuse_side_files(real: Path, name: str) -> None:
    """Refuse what SQLite would believe beside the file, where Strokeside never wrote it.

    A -wal is read as part of the file even where the file is in rollback mode. A journal that
    names a super-journal makes SQLite delete the file it names, whatever that is; a saving of
    one file never writes such a name.
    """
    for suffix in ("-wal", "-shm"):
        if os.path.lexists(_beside(real, suffix)):
            raise ReviewError(
                f"{name} was not opened because {name}{suffix} lies beside it, which Strokeside "
                "never writes; move that one away and open the review again."
            )
    journal = _beside(real, "-journal")
    if os.path.lexists(journal) and not is_own_journal(journal):
        raise ReviewError(
            f"{name} was not opened because {name}-journal beside it is not one that Strokeside "
            "left; move that one away and open the review again."
        )


def _beside(real: Path, suffix: str) -> Path:
    return real.with_name(real.name + suffix)


def is_own_journal(journal: Path) -> bool:
    """Whether a rollback journal is a plain file that speaks of one database only.

    One that went meanwhile does no harm: another process has just ended its saving.
    """
    try:
        if not stat.S_ISREG(journal.lstat().st_mode):
            return False
        with journal.open("rb") as file:
            size = file.seek(0, os.SEEK_END)
            file.seek(max(0, size - len(JOURNAL_MAGIC)))
            return file.read() != JOURNAL_MAGIC
    except FileNotFoundError:
        return True
    except OSError:
        return False


def _probe(real: Path, name: str) -> None:
    """Look at the header without a lock, a rollback or a side file.

    By SQLite and not by `open`: closing a file of our own would drop the locks that another
    connection of this program holds on it.
    """
    connection = sqlite3.connect(uri_of(real, "mode=ro&immutable=1"), uri=True)
    try:
        ours = connection.execute("PRAGMA application_id").fetchone()[0] == schema.APPLICATION_ID
    except sqlite3.Error as error:
        # Half of a saving is in the file: what it holds shows when the journal was rolled back.
        if error_code(error) != sqlite3.SQLITE_NOTADB and os.path.lexists(
            _beside(real, "-journal")
        ):
            return
        raise _open_error(name, error) from error
    finally:
        connection.close()
    if not ours:
        raise ReviewError(f"{name} is not a review, and was left as it is.")


def _wal_sentence(name: str) -> str:
    return (
        f"{name} is kept in a way no review is (a write-ahead log); it was not opened, so ask "
        "whoever sent it to send it anew."
    )


def _opened(real: Path, name: str, write: bool, watch: _Watch) -> sqlite3.Connection:
    """Open for reading and writing, or as nearly so as the place allows."""
    modes = ["mode=rw"] if write else ["mode=rw", "mode=ro"]
    alone = not os.path.lexists(_beside(real, "-journal"))
    if not write and alone and not os.access(real.parent, os.W_OK):
        modes.append("mode=ro&immutable=1")  # as good as unchanging, and some shares cannot lock
    for mode in modes:
        try:
            connection = sqlite3.connect(
                uri_of(real, mode), uri=True, timeout=BUSY_S, isolation_level=None
            )
        except sqlite3.Error as error:
            failed: sqlite3.Error = error
            continue
        try:
            _prepare(connection, name, write, watch)
        except sqlite3.Error as error:
            connection.close()
            failed = error
            if error_code(error) not in _PLACE_CODES:
                break
        except BaseException:
            connection.close()
            raise
        else:
            return connection
    if error_code(failed) == sqlite3.SQLITE_INTERRUPT:
        raise ReviewError(watch.sentence(name)) from failed
    raise _open_error(name, failed) from failed


_PLACE_CODES: Final = (
    sqlite3.SQLITE_CANTOPEN,
    sqlite3.SQLITE_READONLY,
    sqlite3.SQLITE_PERM,
    sqlite3.SQLITE_IOERR,
)


def _prepare(connection: sqlite3.Connection, name: str, write: bool, watch: _Watch) -> None:
    """Set what bounds SQLite, and only then let it read the list of tables."""
    for limit, most in _LIMITS:
        connection.setlimit(limit, most)
    connection.set_progress_handler(watch, _STEP_OPS)
    connection.execute("PRAGMA trusted_schema = OFF")
    connection.execute("PRAGMA cell_size_check = ON")
    connection.execute("PRAGMA mmap_size = 0")
    connection.execute("PRAGMA temp_store = MEMORY")
    connection.execute("SELECT 1 FROM sqlite_schema LIMIT 1").fetchone()
    # What a journal rolled back may be another file than the one that was looked at.
    pages, size = (connection.execute(f"PRAGMA {p}").fetchone()[0] for p in _SIZES)
    if pages * size > LARGEST_BYTES:
        raise ReviewError(f"{name} is too large for a review, and was not opened.")
    # A genuine review is never in WAL mode, where every reader makes two files beside it and
    # believes them. None lay there before, so the two made now are empty and go with closing.
    if connection.execute("PRAGMA journal_mode").fetchone()[0] == "wal":
        raise ReviewError(_wal_sentence(name))
    if not schema.is_review(connection):
        raise ReviewError(f"{name} is not a review, and was left as it is.")
    connection.execute("PRAGMA secure_delete = ON")
    if write:
        connection.execute(f"PRAGMA synchronous = {SYNCHRONOUS}")
        watch.steps_left = None  # a writer may live long; only its way in is bounded


_SIZES: Final = ("page_count", "page_size")


def _open_error(name: str, error: sqlite3.Error) -> ReviewError:
    """What SQLite says of opening a file, as the kind of error a caller can act on."""
    code = error_code(error)
    if code == sqlite3.SQLITE_NOTADB and name.lower().endswith(".review"):
        return DamagedReview(
            f"{name} is not a review, or its beginning is lost; it was left as it is. If it was "
            "one, take an earlier version, or let `strokeside recover` take out what it holds."
        )
    if code == sqlite3.SQLITE_NOTADB:
        return ReviewError(f"{name} is not a review, and was left as it is.")
    if code in (sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED):
        return FileBusy(
            f"{name} could not be opened because another program is using it; close that one."
        )
    if code == sqlite3.SQLITE_READONLY:
        return ReviewError(
            f"{name} was left half saved and cannot be put right where nothing may be written; "
            f"copy it together with {name}-journal into a folder of your own and open it there."
        )
    if code in (sqlite3.SQLITE_CANTOPEN, sqlite3.SQLITE_PERM):
        return ReviewError(
            f"{name} could not be opened because it or its folder is protected from reading."
        )
    if code == sqlite3.SQLITE_IOERR:
        return ReviewError(
            f"{name} could not be opened because its disk did not answer; check it is there."
        )
    return damaged(name)


def damaged(name: str) -> DamagedReview:
    """Say that a file is damaged and what can be done; `name` is already plain."""
    return DamagedReview(
        f"{name} is damaged and was left as it is; take an earlier version of it, or let "
        "`strokeside recover` take out what can still be read."
    )
