"""Earlier versions of a review, kept by themselves: one for each session that changed it."""

from __future__ import annotations

import contextlib
import shutil
import sqlite3
import stat
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Final

from app.files.atomic import PRIVATE, replacing
from app.review.file.guard import connect
from app.review.file.sentences import sentences
from app.review.values.errors import ReviewError

# How many are kept by age: the newest, then one a day for a week, then one a week for two months;
# common practice, no source.
NEWEST: Final = 3
DAYS: Final = 7
WEEKS: Final = 8
# And by size: all of one review together, unless it is the newest alone.
MOST_BYTES: Final = 1_000_000_000
_STAMP: Final = "%Y%m%dT%H%M%SZ"
_PAGES: Final = 4096  # copied at a time, so that a reader elsewhere is not kept waiting


@dataclass(frozen=True)
class Backup:
    """An earlier version.

    Attributes
    ----------
    when : when it was laid aside, before the changes of that session, UTC
    """

    path: Path
    when: datetime
    size: int


class BackupShelf:
    """The earlier versions of all reviews, each under its review's identity.

    Parameters
    ----------
    folder : made when the first is kept
    """

    def __init__(self, folder: Path) -> None:
        self.folder = Path(folder)

    def keep(self, path: Path, review_id: str, now: datetime | None = None) -> Backup:
        """Copy a review file as it is now, and let those go that are too many.

        Raises
        ------
        ReviewError
            It cannot be read, or the copy cannot be written.
        """
        now = now or datetime.now(UTC)
        place = self._of(review_id)
        with sentences(path, "saved"):
            place.mkdir(parents=True, exist_ok=True, mode=0o700)
            target = place / f"{now.strftime(_STAMP)}.review"
            while target.exists():  # of another window, or before the clock was set back
                now += timedelta(seconds=1)
                target = place / f"{now.strftime(_STAMP)}.review"
            copy_review(path, target)
            kept = Backup(target, now.replace(microsecond=0), target.stat().st_size)
        self._thin(review_id, now, kept)
        return kept

    def list(self, review_id: str) -> tuple[Backup, ...]:
        """The earlier versions of a review, newest first."""
        found = []
        with contextlib.suppress(OSError):
            for path in self._of(review_id).glob("*.review"):
                with contextlib.suppress(ValueError, OSError):
                    when = datetime.strptime(path.stem, _STAMP).replace(tzinfo=UTC)
                    there = path.lstat()
                    if stat.S_ISREG(there.st_mode):
                        found.append(Backup(path, when, there.st_size))
        return tuple(sorted(found, key=lambda backup: backup.when, reverse=True))

    def forget(self, review_id: str) -> None:
        """Remove all earlier versions of a review."""
        shutil.rmtree(self._of(review_id), ignore_errors=True)

    def _of(self, review_id: str) -> Path:
        if not (len(review_id) == 32 and all(c in "0123456789abcdef" for c in review_id)):
            raise ReviewError("This review has no identity to keep earlier versions under.")
        return self.folder / review_id

    def _thin(self, review_id: str, now: datetime, newest: Backup) -> None:
        # The one just made stays, also where a clock that was wrong dated others after it.
        there = self.list(review_id)
        kept = {*_worth_keeping(there, now), newest}
        for backup in there:
            if backup not in kept:
                with contextlib.suppress(OSError):
                    backup.path.unlink()


def copy_review(path: Path, target: Path) -> None:
    """Copy a review file whole by SQLite's own means, also while it is being saved.

    Raises
    ------
    ReviewError, sqlite3.Error, OSError
        It cannot be read, or the copy cannot be written.
    """
    with replacing(target, PRIVATE) as part, connect(path) as source:
        copy = sqlite3.connect(part)
        try:
            copy.execute("PRAGMA synchronous = OFF")  # the part is synced as a whole
            source.backup(copy, pages=_PAGES)
            copy.execute("PRAGMA journal_mode = DELETE")
        finally:
            copy.close()


def _worth_keeping(backups: Iterable[Backup], now: datetime) -> frozenset[Backup]:
    """Those to keep: few from every stretch of time, the newest first, within `MOST_BYTES`."""
    newest_first = sorted(backups, key=lambda backup: backup.when, reverse=True)
    chosen = set(newest_first[:NEWEST])
    # Days and weeks of the calendar: by age alone, whoever works four times a day would never
    # have a version reach the age of a day.
    for count, days in ((DAYS, 1), (WEEKS, 7)):
        last = now.toordinal() // days
        newest_of: dict[int, Backup] = {}
        for backup in newest_first:
            newest_of.setdefault(backup.when.toordinal() // days, backup)
        chosen |= {b for at, b in newest_of.items() if last - count < at <= last}
    kept: list[Backup] = []
    used = 0
    for backup in sorted(chosen, key=lambda b: b.when, reverse=True):
        used += backup.size
        if kept and used > MOST_BYTES:
            break
        kept.append(backup)
    return frozenset(kept)
