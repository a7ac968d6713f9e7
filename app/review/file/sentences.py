"""What SQLite and the system say of a review file, as sentences for the coach."""

from __future__ import annotations

import contextlib
import sqlite3
from collections.abc import Iterator
from pathlib import Path

from app.review.file.guard import error_code
from app.review.values.errors import DamagedReview, FileBusy, FileLost, ReviewError
from app.review.values.text import plain

_BUSY = (sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED)
_PROTECTED = (sqlite3.SQLITE_READONLY, sqlite3.SQLITE_CANTOPEN, sqlite3.SQLITE_PERM)


@contextlib.contextmanager
def sentences(path: Path, verb: str) -> Iterator[None]:
    """Turn errors of SQLite and the system into ReviewErrors.

    Parameters
    ----------
    verb : "opened", "saved", or "made" for a file that need not be there yet
    """
    try:
        yield
    except sqlite3.Error as error:
        raise _of_sqlite(path, verb, error) from error
    except OSError as error:
        reason = plain(error.strerror or "the system refused", 120).lower()
        name, folder = plain(path.name), plain(str(path.parent), 200)
        verb = "saved" if verb == "made" else verb
        raise ReviewError(f"{name} could not be {verb} in {folder}: {reason}.") from error


def _of_sqlite(path: Path, verb: str, error: sqlite3.Error) -> ReviewError:
    name, code = plain(path.name), error_code(error)
    failed = f"{name} could not be {'saved' if verb == 'made' else verb}"
    if verb != "made" and not path.exists():
        return FileLost(f"{name} is no longer in {plain(str(path.parent), 200)}.")
    if path.is_dir():
        return ReviewError(f"{name} is a folder, not a review; choose the .review file itself.")
    if code == sqlite3.SQLITE_FULL:
        return ReviewError(f"{failed} because the disk is full; free some space.")
    if code in _BUSY:
        return FileBusy(f"{failed} because another program is using it; close that one.")
    if code in _PROTECTED:
        guarded = "reading" if verb == "opened" else "writing"
        return ReviewError(f"{failed} because it or its folder is protected from {guarded}.")
    if code == sqlite3.SQLITE_IOERR:
        return ReviewError(f"{failed} because its disk did not answer; check that it is there.")
    # SQLite quotes names out of the file, which a stranger may have chosen.
    told = plain(str(error), 120)
    return DamagedReview(
        f"{failed}: the file is damaged ({told}); it was left as it is, so take an earlier version "
        "of it, or recover what can still be read."
    )
