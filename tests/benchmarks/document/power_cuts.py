"""Power cuts: ``python -m tests.benchmarks.document.power_cuts [COUNT]`` (1000 of changes).

The system calls of real work are recorded with strace. At random points of the recording the power
fails: the folder is laid out as a disk may be then (disk.py says what a disk may forget), and
opened with the product's code. Every change acknowledged before the cut must be there. The same for
making a review, going on under another name, and the first saving of a review of schema 1 and 2;
and for bare databases, which show that losses are found where there are some. Ends with 1 on a
loss.
"""

from __future__ import annotations

import copy
import random
import re
import sqlite3
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Iterator, Sequence
from pathlib import Path

from app.review.parts.state import ReviewState
from tests.benchmarks.document import actor
from tests.benchmarks.document.disk import MODES, Folder, folder_from
from tests.benchmarks.document.kills import look
from tests.benchmarks.document.system_calls import Player, is_available, python_job, record
from tests.benchmarks.document.trial import OLD, Said, counted, expected, said, state_of, table
from tests.benchmarks.document.work import Found

STEPS = 60
SEEDS = (3, 4, 5)


class Recording:
    """A job's system calls, with what lay on the disk before."""

    def __init__(self, job: str, seed: int, steps: int, original: Path | None = None) -> None:
        self.job, self.original = job, original
        with tempfile.TemporaryDirectory() as name:
            top = Path(name).resolve()
            self._root = top / "disk"
            (self._root / "home").mkdir(parents=True)  # what is kept there is on the same disk
            actor.prepare(job, self._root, original)
            self._before = folder_from(self._root)
            self.states: list[ReviewState] = []
            if not job.startswith("plain"):
                path = self._root / actor.NAME
                start = state_of(path) if path.exists() else actor.rich_without_sound()
                self.states = expected(job, start, seed, steps)
            command = python_job(job, self._root, seed, steps)
            self._calls = record(command, self._root, top / "log", top / "said")
        self._first = self._first_touch()

    def _player(self) -> Player:
        return Player(self._root, copy.deepcopy(self._before))

    def _first_touch(self) -> int:
        """Where the work begins: cuts while Python starts would only fill the table."""
        player = self._player()
        for i, call in enumerate(self._calls):
            player.play(call)
            if player.has_open:
                return i
        raise RuntimeError("the job touched no file")

    def cuts(self, count: int, rng: random.Random) -> Iterator[tuple[Folder, Said]]:
        """The disk at random points, in their order, with what had been said until then."""
        places = sorted(rng.randrange(self._first, len(self._calls)) for _ in range(count))
        player, lines, at = self._player(), list[str](), 0
        for place in places:
            while at <= place:
                lines += (player.play(self._calls[at]) or "").splitlines()
                at += 1
            yield player.folder, said(lines)

    def look(self, place: Path, far: Said) -> Found:
        """Open what a cut left."""
        if not self.states:
            return look_at_rows(place, far)
        return look(self.job, place, self.states, far, self.original)


def cut_power(
    recording: Recording, count: int, seed: int = 1, modes: Sequence[str] = MODES
) -> Counter[str]:
    """Cut the power at random points; gives what came of it.

    Parameters
    ----------
    modes : how much may be forgotten; "all" alone forgets nothing, as when only the program died
    """
    rng, tally = random.Random(seed), Counter[str]()
    base = "/dev/shm" if Path("/dev/shm").is_dir() else None
    for folder, far in recording.cuts(count, rng):
        with tempfile.TemporaryDirectory(dir=base) as name:
            place = Path(name) / "disk"
            folder.after_cut(place, rng, rng.choice(modes))
            found = recording.look(place, far)
            tally[found.outcome] += 1
            if not found.is_whole and found.said:
                tally[f"({found.outcome}: {_short(found.said)})"] += 1
    return tally


def _short(said: str) -> str:
    """A sentence without what differs from case to case."""
    return re.sub(r"[0-9a-f]{8,}|/\S+", "…", said)[:150]


def lost(tally: Counter[str]) -> int:
    """How many cuts cost something acknowledged, or more."""
    return sum(n for word, n in tally.items() if not word.startswith(("whole", "(")))


def look_at_rows(place: Path, far: Said) -> Found:
    """How a bare database is looked at."""
    db = sqlite3.connect(place / actor.NAME)
    try:
        rows = dict(db.execute("SELECT id, text FROM note ORDER BY id"))
        sound = db.execute("PRAGMA integrity_check").fetchone() == ("ok",)
    except sqlite3.Error as error:
        return Found("refused", str(error))
    finally:
        db.close()
    if not sound or any(text != str(k) * 500 for k, text in rows.items()):
        return Found("integrity")
    least = max(far.acknowledged, 0)
    if len(rows) < least:
        lost = least - len(rows)
        return Found("last acknowledged change lost" if lost == 1 else "several acknowledged lost")
    return Found("whole" if sorted(rows) == list(range(1, len(rows) + 1)) else "neither state")


def main() -> int:
    count = int(sys.argv[1]) if sys.argv[1:] else 1000
    if not is_available():
        print("skipped: strace is not here, or may not trace")
        return 0
    start = time.perf_counter()
    for job in ("plain_off", "plain", "plain_extra"):
        tally = cut_power(Recording(job, 1, 20), count // 4)
        table(f"the trial itself: {count // 4} cuts, bare database, {job}", counted(tally))
    bad, tally = 0, Counter[str]()
    for seed in SEEDS:
        tally += cut_power(Recording("changes", seed, STEPS), count // len(SEEDS) + 1, seed)
    bad += lost(tally)
    table(f"{count} cuts in streams of changes", counted(tally))
    for job in ("creating", "saving_as"):
        tally = cut_power(Recording(job, 1, 1), count // 4)
        bad += lost(tally)
        table(f"{count // 4} cuts while {job.replace('_', ' ')}", counted(tally))
    for original in OLD:
        tally = cut_power(Recording("migrating", 1, 1, original), count // 4)
        bad += lost(tally)
        table(f"{count // 4} cuts in the first saving of {original.name}", counted(tally))
    print(f"\n{time.perf_counter() - start:.0f} s; {bad} cuts cost something acknowledged")
    return 1 if bad else 0


if __name__ == "__main__":
    sys.exit(main())
