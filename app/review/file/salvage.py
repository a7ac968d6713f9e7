"""What can still be read of a damaged review file.

All reading is of a private copy, page by page and without SQLite (pages.py), so that nothing the
file says is ever executed; SQLite only takes back a half-finished saving on that copy. A bit that
flipped inside a text or a sound cannot be told from what was written: the format has no checksums.
"""

from __future__ import annotations

import contextlib
import mmap
import shutil
import sqlite3
import stat
import tempfile
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from app.review.file.guard import BUSY_S, SMALLEST_BYTES, is_own_journal, uri_of
from app.review.file.pages import PageFile, Value
from app.review.file.shapes import Shapes
from app.review.file.trees import Found, gather
from app.review.values.errors import ReviewError
from app.review.values.text import plain

_LARGEST_BYTES: Final = 1 << 32
_PLURALS: Final = {
    "note": "notes",
    "mark": "marks",
    "voice": "voice notes",
    "voice_sound": "sounds",
    "walkthrough": "walkthroughs",
    "walkthrough_event": "moments of walkthroughs",
    "comparison": "comparisons",
    "answers": "answers",
}


@dataclass(frozen=True)
class Salvaged:
    """What came back.

    Attributes
    ----------
    rows : per table, in the order of their rowids; not checked against what a review allows
    losses : a sentence for each kind of thing that did not come back
    """

    rows: dict[str, tuple[dict[str, Value], ...]]
    losses: tuple[str, ...]


def salvage_rows(
    path: Path,
    tables: Mapping[str, tuple[str, ...]],
    *,
    definitions: Mapping[str, str] | None = None,
    earlier: Mapping[str, str] | None = None,
) -> Salvaged:
    """Read what is readable of a file, however damaged; the file itself is left as it is.

    A stored first column of nothing is taken for the rowid, as no review leaves it empty. Do not
    call this while a saving of the same file runs in this program: copying lets go of its locks.

    Parameters
    ----------
    tables : the columns of each table in the order they are made; others are not looked at
    definitions : the CREATE TABLE texts of the same tables, in the order a new file is made in;
        with them rows are found whose table the file no longer tells
    earlier : the tables' names by other texts that may have made them, for a file that tells

    Raises
    ------
    ReviewError
        No regular file, too large, or it cannot be copied.
    """
    name = plain(path.name)
    with tempfile.TemporaryDirectory(prefix="strokeside-") as folder:
        copy = Path(folder, "copy.review")
        _copy(path, copy, name)
        _roll_back(copy)
        if copy.stat().st_size < SMALLEST_BYTES:
            return Salvaged(dict.fromkeys(tables, ()), (f"{name} is all but empty.",))
        with contextlib.closing(Shapes(tables, definitions, earlier)) as shapes:
            found = _gathered(copy, shapes)
    return Salvaged(
        {table: _rows(found, shapes, table) for table in tables}, _losses(found, tuple(tables))
    )


def _copy(path: Path, copy: Path, name: str) -> None:
    """Copy the file and the journal a crash left beside it."""
    try:
        real = path.resolve(strict=True)
        found = real.stat()
        if not stat.S_ISREG(found.st_mode):
            raise ReviewError(f"{name} is not a file; choose the damaged .review file itself.")
        if found.st_size > _LARGEST_BYTES:
            raise ReviewError(f"{name} is too large for a review, and was left as it is.")
        shutil.copyfile(real, copy)
        journal = real.with_name(real.name + "-journal")
        if journal.exists() and is_own_journal(journal):
            shutil.copyfile(journal, copy.with_name(copy.name + "-journal"))
    except (OSError, RuntimeError, ValueError) as error:
        if isinstance(error, ReviewError):
            raise
        raise ReviewError(
            f"{name} could not be copied to be read; it was left as it is."
        ) from error


def _roll_back(copy: Path) -> None:
    """Let SQLite take back a half-finished saving on the copy; it may well refuse."""
    if not copy.with_name(copy.name + "-journal").exists():
        return
    before = copy.stat().st_size
    kept = copy.with_name("before")
    shutil.copyfile(copy, kept)
    with contextlib.suppress(sqlite3.Error):
        connection = sqlite3.connect(uri_of(copy, "mode=rw"), uri=True, timeout=BUSY_S)
        try:
            connection.execute("PRAGMA application_id").fetchone()
        finally:
            connection.close()
    # A journal of a stranger may blow the file up, or empty it.
    if not before // 4 <= copy.stat().st_size <= 4 * before:
        kept.replace(copy)


def _gathered(copy: Path, shapes: Shapes) -> Found:
    with (
        copy.open("rb") as file,
        mmap.mmap(file.fileno(), 0, access=mmap.ACCESS_READ) as data,
    ):
        return gather(PageFile(data), shapes)


def _rows(found: Found, shapes: Shapes, table: str) -> tuple[dict[str, Value], ...]:
    shape = shapes.of[table]
    return tuple(shape.row(rowid, values) for rowid, values in sorted(found.rows[table].items()))


def _losses(found: Found, tables: tuple[str, ...]) -> tuple[str, ...]:
    said: list[str] = []
    if found.lost_list:
        said.append("The list of tables was damaged; things were told apart by their looks.")
    untold = [many for table, many in _PLURALS.items() if table in found.untold]
    if untold:
        said.append(f"Nothing came back of these, if there were any: {', '.join(untold)}.")
    for table in tables:
        read = len(found.rows[table])
        lost, cut = found.lost.get(table, 0), found.cut.get(table, 0)
        many = _PLURALS.get(table, f"entries of “{table}”")
        if table in found.unsure and not read and lost:
            said.append(f"The {many}, if there were any, could not be read.")
        elif table in found.unsure:
            said.append(f"Some {many} may be missing.")
        elif lost:
            said.append(f"{lost} of about {read + lost} {many} could not be read.")
        if cut:
            said.append(f"{cut} of {read} {many} end too early, because the rest was damaged.")
    if found.unknown:
        said.append(f"{found.unknown} entries were found whose place could not be told.")
    return tuple(said)
