"""What a letter costs: ``python -m tests.benchmarks.document.letter_cost [LETTERS]`` (40).

One letter after another is typed into one note and saved, in reviews of very different size. The
measure is a bare commit of one short row, in a database of the same size in the same folder, with
the same promise (rollback journal, `synchronous = EXTRA`), done by turns with the letters so that
both see the same disk. Bytes are those handed to write calls, from /proc/self/io. Figures are
medians; in brackets the middle half.
"""

from __future__ import annotations

import sqlite3
import statistics
import sys
import tempfile
import time
from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from app.review.parts.blur import BlurKey, BlurRegion
from app.review.parts.marks import Mark
from app.review.parts.notes import AddVoiceNote, EditNote, Note
from app.review.parts.state import ReviewState
from app.review.review import Review
from app.review.voice import RATE_HZ, to_wav, voice_of
from tests.benchmarks.document.work import WORDS, closing, id_of

HOUR_BYTES = 3600 * RATE_HZ * 2
KEYS = 36_000
FILM = "x" * 1000
Fill = Callable[[ReviewState], ReviewState]


@dataclass(frozen=True)
class Cost:
    """Milliseconds until it is on the disk, milliseconds the caller was held, bytes written."""

    ms: float
    held_ms: float
    written: int


def one_note(state: ReviewState) -> ReviewState:
    """Nothing but the note that is typed into."""
    return state


def many(state: ReviewState, notes: int = 500, marks: int = 2000) -> ReviewState:
    """500 notes and 2 000 marks."""
    more = tuple(Note(id_of(2, i), 2.0 + i, WORDS * 3) for i in range(notes))
    drawn = tuple(Mark(id_of(3, i), "line", ((i / 7, 0.0), (i / 9, 1.0)), video_s=i / 5)
                  for i in range(marks))  # fmt: skip
    return replace(state, notes=(*state.notes, *more), marks=drawn)


def hour_of_voice(state: ReviewState) -> ReviewState:
    """One hour of noise as a voice."""
    voice = voice_of(id_of(4, 0), bytes(HOUR_BYTES))
    return replace(state, notes=(*state.notes, Note(voice.id, 5000.0, voice=voice)))


def ten_minutes_of_points(state: ReviewState) -> ReviewState:
    """A face followed through ten minutes at 60 frames a second."""
    keys = tuple(BlurKey(i / 60, 300 + i % 97, 200 + i % 89, 60.0, 80.0, i == 0)
                 for i in range(KEYS))  # fmt: skip
    return replace(state, blurs=(BlurRegion(id_of(5, 0), keys),))


def all_of_it(state: ReviewState) -> ReviewState:
    """All of these."""
    return hour_of_voice(ten_minutes_of_points(many(state)))


def create(path: Path, state: ReviewState) -> None:
    """Write a review; its voice is an hour of noise."""
    silent = tuple(n for n in state.notes if n.voice is None)
    spoken = [n for n in state.notes if n.voice is not None]
    with closing(Review.create(path, replace(state, notes=silent))) as review:
        for note in spoken:
            noise = np.random.default_rng(1).integers(-9000, 9000, HOUR_BYTES // 2, np.int16)
            review.keep_sound(note.id, to_wav(noise.tobytes()))
            review.do(AddVoiceNote(note))
        if not review.save():
            raise RuntimeError("the review to type into could not be saved")


def written_bytes() -> int:
    """Bytes this process handed to write calls so far."""
    lines = Path("/proc/self/io").read_text().splitlines()
    return int(dict(line.split(": ") for line in lines)["wchar"])


def measured(action: Callable[[], float]) -> Cost:
    """Do something and count; `action` gives the moment its caller was let go."""
    before, start = written_bytes(), time.perf_counter()
    let_go = action()
    end = time.perf_counter()
    return Cost(1e3 * (end - start), 1e3 * (let_go - start), written_bytes() - before)


class Bare:
    """A database of a given size with one short row to change."""

    def __init__(self, path: Path, size: int) -> None:
        self._db = sqlite3.connect(path, isolation_level=None)
        self._db.execute("PRAGMA synchronous = EXTRA")
        self._db.execute("PRAGMA journal_mode = DELETE")
        self._db.execute("CREATE TABLE note (id INTEGER PRIMARY KEY, text TEXT)")
        self._db.execute("BEGIN")
        rows = ((i, FILM) for i in range(max(size // 1100, 1)))
        self._db.executemany("INSERT INTO note VALUES (?, ?)", rows)
        self._db.execute("COMMIT")
        self._k = 0

    def commit(self) -> float:
        """Change the row."""
        self._k += 1
        self._db.execute("UPDATE note SET text = ? WHERE id = 0", (f"{self._k:04}" + FILM[4:],))
        return time.perf_counter()

    def close(self) -> None:
        self._db.close()


def costs(folder: Path, fill: Fill, letters: int) -> tuple[int, list[Cost], list[Cost]]:
    """Size of the file, what each letter and each bare commit cost."""
    path, typed = folder / "piece.review", id_of(1, 0)
    create(path, fill(ReviewState(notes=(Note(typed, 1.0, WORDS),))))
    bare = Bare(folder / "bare.db", path.stat().st_size)
    with closing(Review.open(path)) as review:
        text = WORDS

        def letter() -> float:
            nonlocal text
            text += "a"
            review.do(EditNote(typed, text=text))
            let_go = time.perf_counter()
            if not review.save():
                raise RuntimeError("a letter could not be saved")
            return let_go

        for warm in (letter, bare.commit):
            warm()
        pairs = [(measured(letter), measured(bare.commit)) for _ in range(letters)]
    bare.close()
    return path.stat().st_size, [a for a, _ in pairs], [b for _, b in pairs]


def _middle(values: list[float], digits: int = 1) -> str:
    low, mid, high = statistics.quantiles(values, n=4)
    return f"{mid:.{digits}f} [{low:.{digits}f}..{high:.{digits}f}]"


def main() -> int:
    letters = int(sys.argv[1]) if sys.argv[1:] else 40
    print(f"{'review':22} {'MB':>6}  {'ms a letter':>22} {'do() held ms':>20} {'kB':>9}  "
          f"{'ms bare':>18} {'kB':>6}  {'time':>6} {'bytes':>7}")  # fmt: skip
    for fill in (one_note, many, hour_of_voice, ten_minutes_of_points, all_of_it):
        with tempfile.TemporaryDirectory() as name:
            size, letter, bare = costs(Path(name), fill, letters)
        ms, bare_ms = [c.ms for c in letter], [c.ms for c in bare]
        kb = statistics.median(c.written for c in letter) / 1e3
        bare_kb = statistics.median(c.written for c in bare) / 1e3
        ratio = statistics.median(ms) / statistics.median(bare_ms)
        print(f"{fill.__name__.replace('_', ' '):22} {size / 1e6:6.1f}  {_middle(ms):>22} "
              f"{_middle([c.held_ms for c in letter]):>20} {kb:9.1f}  {_middle(bare_ms):>18} "
              f"{bare_kb:6.1f}  {ratio:6.1f} {kb / bare_kb:7.1f}", flush=True)  # fmt: skip
    return 0


if __name__ == "__main__":
    sys.exit(main())
