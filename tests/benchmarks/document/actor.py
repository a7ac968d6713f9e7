"""What a process does that will be killed, or whose power will be cut.

Each job says on a file descriptor, in one write a line, what it begins (`S K`) and what was
acknowledged (`A K`): that `save` returned True. K counts the changes from 1; 0 is what was there.
Run as ``python -m tests.benchmarks.document.actor JOB FOLDER SEED STEPS`` it says so on stdout.
"""

from __future__ import annotations

import os
import shutil
import sqlite3
import sys
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

from app.review.parts.notes import AddNote, Note
from app.review.parts.state import ReviewState
from app.review.review import Review
from tests.benchmarks.document.work import (
    Stream,
    closing,
    create_rich,
    id_of,
    rich_state,
)
from tests.helpers.reviews import save_as

NAME = "piece.review"
OTHER = "again.review"


def _say(out: int, word: str, k: int) -> None:
    os.write(out, f"{word} {k}\n".encode())


def changes(folder: Path, seed: int, steps: int, out: int) -> None:
    """Open a review and work on it; now and then several changes before the acknowledgement."""
    with closing(Review.open(folder / NAME)) as review:
        review.protect(folder / "home")  # so that an earlier version is laid aside first
        stream = Stream(seed)
        _say(out, "A", 0)
        for k in range(1, steps + 1):
            _say(out, "S", k)
            stream.step(review)
            if (seed + k) % 4 and review.save():
                _say(out, "A", k)


def creating(folder: Path, seed: int, steps: int, out: int) -> None:
    """Make a new review, then one change."""
    _say(out, "S", 0)
    with closing(Review.create(folder / NAME, rich_without_sound())) as review:
        if review.save():
            _say(out, "A", 0)
        _say(out, "S", 1)
        review.do(added_note(seed))
        if review.save():
            _say(out, "A", 1)


def saving_as(folder: Path, seed: int, steps: int, out: int) -> None:
    """Go on under another name, which is acknowledged as step 1, then one change there."""
    with closing(Review.open(folder / NAME)) as review:
        _say(out, "A", 0)
        _say(out, "S", 1)
        save_as(review, folder / OTHER)
        if review.save():
            _say(out, "A", 1)
        _say(out, "S", 2)
        review.do(added_note(seed))
        if review.save():
            _say(out, "A", 2)


def migrating(folder: Path, seed: int, steps: int, out: int) -> None:
    """Open a review of an older schema and change it, which writes the newer schema."""
    with closing(Review.open(folder / NAME)) as review:
        _say(out, "A", 0)
        _say(out, "S", 1)
        review.do(added_note(seed))
        if review.save():
            _say(out, "A", 1)


def plain(folder: Path, seed: int, steps: int, out: int, synchronous: str = "FULL") -> None:
    """No review: rows into a bare database, to show what the trial itself can find."""
    for k in range(1, steps + 1):
        _say(out, "S", k)
        db = sqlite3.connect(folder / NAME, isolation_level=None)
        db.execute(f"PRAGMA synchronous = {synchronous}")
        db.execute("INSERT INTO note VALUES (?, ?)", (k, str(k) * 500))
        db.close()
        _say(out, "A", k)


def plain_extra(folder: Path, seed: int, steps: int, out: int) -> None:
    """The same with the folder synced after each commit."""
    plain(folder, seed, steps, out, "EXTRA")


def plain_off(folder: Path, seed: int, steps: int, out: int) -> None:
    """The same without any syncing, which loses all kinds of things."""
    plain(folder, seed, steps, out, "OFF")


def added_note(seed: int) -> AddNote:
    """The one change of a job that is about something else."""
    return AddNote(Note(id_of(seed, 1), 7.5, "written last"))


def rich_without_sound() -> ReviewState:
    """A state a new review can begin with: no voice is in its file yet."""
    state = rich_state()
    return replace(state, notes=tuple(n for n in state.notes if n.voice is None))


Job = Callable[[Path, int, int, int], None]
JOBS: dict[str, Job] = {
    "changes": changes,
    "creating": creating,
    "saving_as": saving_as,
    "migrating": migrating,
    "plain": plain,
    "plain_extra": plain_extra,
    "plain_off": plain_off,
}


def prepare(job: str, folder: Path, original: Path | None = None) -> None:
    """Lay out what a job starts from."""
    if job.startswith("plain"):
        db = sqlite3.connect(folder / NAME)
        db.execute("CREATE TABLE note (id INTEGER PRIMARY KEY, text TEXT)")
        db.commit()
        db.close()
    elif job == "migrating" and original is not None:
        shutil.copyfile(original, folder / NAME)
    elif job != "creating":
        create_rich(folder / NAME)


def main() -> None:
    job, folder, seed, steps = sys.argv[1:]
    JOBS[job](Path(folder), int(seed), int(steps), 1)


if __name__ == "__main__":
    main()
