"""Two programs, one review: ``python -m tests.benchmarks.document.two_processes [COUNT]`` (100).

A window has the review open and works; `strokeside answers` takes a file of answers in at a random
moment of that, or while the window is idle, which then goes on. Then two windows work on the file
at once. A window that is refused opens the review anew and does its change again, as a coach
would. Nothing that either was told is saved may be missing; nothing may fail without a word. Ends
with 1 otherwise.
"""

from __future__ import annotations

import random
import sys
import tempfile
import threading
import time
from collections import Counter
from pathlib import Path

from app.review.parts.state import ReviewState
from app.review.review import Review
from tests.benchmarks.document.partner import (
    Command,
    Partner,
    answers_file,
    ended,
    start_answers,
)
from tests.benchmarks.document.trial import counted, state_of, table
from tests.benchmarks.document.work import closing, create_rich, id_of, integrity

TRIES = 20


class Worker(threading.Thread):
    """Drives a partner: notes one after another, until told to stop or `most` are done."""

    def __init__(self, path: Path, seed: int, most: int = 1_000_000, pause_s: float = 0.05) -> None:
        super().__init__()
        self._path, self._seed, self._most, self._pause_s = path, seed, most, pause_s
        self.partner = Partner()
        self.partner.open(path)
        self.tally: Counter[str] = Counter()
        self.stop = threading.Event()
        self.count = 0

    def run(self) -> None:
        rng = random.Random(self._seed)
        while not self.stop.is_set() and self.count < self._most:
            self.one()
            time.sleep(rng.uniform(0.0, self._pause_s))

    def one(self) -> None:
        """Add one note, opening the review anew as often as it is refused."""
        note_id = id_of(self._seed, self.count)
        self.count += 1
        for _ in range(TRIES):
            answer = self.partner.add(note_id)
            if answer.raised:
                self.tally[f"window: traceback {answer.raised[:80]}"] += 1
            elif answer.saved:
                self.tally["window: saved"] += 1
                return
            else:
                why = answer.said.split(";")[0].removeprefix(self._path.name)[:50]
                self.tally["window: SILENT" if answer.is_silent else f"window: told it{why}"] += 1
            self.partner.open(self._path)
        self.tally["(window: gave up)"] += 1


def commands_beside(path: Path, files: Path, count: int, busy: bool) -> Counter[str]:
    """Take answers in beside a window that works, or is idle and goes on afterwards."""
    rng, worker = random.Random(7), Worker(path, 1 if busy else 2)
    tally: Counter[str] = Counter()
    if busy:
        worker.start()
    kept = []
    for k in range(count):
        comment = f"{'busy' if busy else 'idle'} {k}"
        answers = answers_file(files, comment)
        time.sleep(rng.uniform(0.0, 0.1))
        command = ended(start_answers(path, answers))
        if command.code == 0:
            kept.append(comment)
        tally[_word(command, comment, path)] += 1
        if not busy:
            worker.one()
    if busy:
        worker.stop.set()
        worker.join()
    worker.partner.end()
    lost_notes, lost_comments = missing(state_of(path), worker.partner.acknowledged, set(kept))
    tally += worker.tally
    tally["LOST: notes of the window"] += len(lost_notes)
    tally["LOST: answers of the command"] += len(lost_comments)
    tally["LOST: integrity"] += bool(integrity(path))
    return +tally


def _word(command: Command, comment: str, path: Path) -> str:
    there = comment in {a.comment for a in state_of(path).answers}
    if command.code == 0:
        return "command: taken in" if there else "command: SILENT, said done and was not"
    if command.is_silent or "Traceback" in command.said:
        return "command: SILENT, failed without a sentence"
    return "command: refused in words, but taken in" if there else "command: refused in words"


def missing(state: ReviewState, notes: set[str], comments: set[str]) -> tuple[set[str], set[str]]:
    """What was acknowledged and is not there."""
    return notes - {n.id for n in state.notes}, comments - {a.comment for a in state.answers}


def two_windows(path: Path, count: int) -> Counter[str]:
    """Two processes that both work on one file."""
    workers = [Worker(path, seed, count // 2, 0.03) for seed in (11, 12)]
    for worker in workers:
        worker.start()
    for worker in workers:
        worker.join()
        worker.partner.end()
    state, tally = state_of(path), Counter[str]()
    for worker in workers:
        tally += worker.tally
        tally["LOST: notes"] += len(missing(state, worker.partner.acknowledged, set())[0])
    tally["LOST: integrity"] += bool(integrity(path))
    return +tally


def lost(tally: Counter[str]) -> int:
    """How often something was lost or nothing was said."""
    bad = ("LOST", "SILENT", "traceback")
    return sum(n for word, n in tally.items() if any(b in word for b in bad))


def main() -> int:
    count = int(sys.argv[1]) if sys.argv[1:] else 100
    start, bad = time.perf_counter(), 0
    with tempfile.TemporaryDirectory() as name:
        path, files = Path(name, "piece.review"), Path(name, "from the athlete")
        files.mkdir()
        create_rich(path)
        for busy in (True, False):
            tally = commands_beside(path, files, count // 2, busy)
            bad += lost(tally)
            table(f"{count // 2} commands beside a window that {'works' if busy else 'is idle'}",
                  counted(tally))  # fmt: skip
        small = Path(name, "small.review")
        with closing(Review.create(small, ReviewState())):
            pass
        for what, where in (("a rich file", path), ("a small file", small)):
            tally = two_windows(where, 2 * count)
            bad += lost(tally)
            table(f"two windows, {count} notes each, {what}", counted(tally))
    print(f"\n{time.perf_counter() - start:.0f} s; {bad} lost or silent")
    return 1 if bad else 0


if __name__ == "__main__":
    sys.exit(main())
