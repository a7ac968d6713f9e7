"""What the trials of the review file share: children to be killed, what they said, the tables."""

from __future__ import annotations

import contextlib
import multiprocessing
import os
import signal
from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from multiprocessing.connection import Connection
from multiprocessing.context import ForkServerContext
from multiprocessing.process import BaseProcess
from pathlib import Path

from app.review.parts.state import ReviewState
from app.review.review import Review
from tests.benchmarks.document.actor import added_note
from tests.benchmarks.document.work import closing, states_after

ROOT = Path(__file__).resolve().parents[3]
DATA = ROOT / "tests" / "data"
OLD = tuple(DATA / f"schema_{version}.review" for version in (1, 2))


def fork_server() -> ForkServerContext:
    """Children that start at once, because their parent has everything loaded."""
    context = multiprocessing.get_context("forkserver")
    context.set_forkserver_preload(["tests.benchmarks.document.actor"])
    return context


class Child:
    """A job of actor.py in a process of its own, with what it says."""

    def __init__(
        self, context: ForkServerContext, job: Callable[..., None], folder: Path, seed: int,
        steps: int,
    ) -> None:  # fmt: skip
        self._heard = b""
        self._ours, theirs = context.Pipe(duplex=False)
        self.process: BaseProcess = context.Process(
            target=_run, args=(job, folder, seed, steps, theirs)
        )
        self.process.start()
        theirs.close()

    def wait_for(self, lines: int) -> None:
        """Wait until it has said so many lines, or has ended."""
        while self._heard.count(b"\n") < lines and (piece := self._listen()):
            self._heard += piece

    def end(self, kill: bool) -> list[str]:
        """Kill it, or let it come to its end; all it had said."""
        if kill and self.process.pid is not None:
            with contextlib.suppress(ProcessLookupError):
                os.kill(self.process.pid, signal.SIGKILL)
        while piece := self._listen():
            self._heard += piece
        self.process.join()
        self._ours.close()
        return self._heard.decode().splitlines()

    def _listen(self) -> bytes:
        return os.read(self._ours.fileno(), 1 << 16)


def _run(job: Callable[..., None], folder: Path, seed: int, steps: int, out: Connection) -> None:
    job(folder, seed, steps, out.fileno())


@dataclass(frozen=True)
class Said:
    """How far a child came: the last step begun and the last acknowledged, -1 for none."""

    begun: int = -1
    acknowledged: int = -1


def said(lines: Iterable[str]) -> Said:
    """Read what a child said."""
    begun = acknowledged = -1
    for line in lines:
        word, number = line.split()
        if word == "A":
            acknowledged = max(acknowledged, int(number))
        begun = max(begun, int(number))
    return Said(begun, acknowledged)


def expected(job: str, start: ReviewState, seed: int, steps: int) -> list[ReviewState]:
    """What a job leaves in the file it works on after 0, 1, ... steps."""
    if job == "changes":
        return states_after(start, seed, steps)
    noted = with_added_note(start, seed)
    return [start, start, noted] if job == "saving_as" else [start, noted]


def with_added_note(start: ReviewState, seed: int) -> ReviewState:
    """The state with the one note of a job that is about something else."""
    review = Review(start)
    review.do(added_note(seed))
    return review.state


def state_of(path: Path) -> ReviewState:
    """What a review file holds."""
    with closing(Review.open(path)) as review:
        return review.state


def table(title: str, rows: Sequence[tuple[str, object]]) -> None:
    """Print a small table."""
    print(f"\n{title}")
    wide = max((len(name) for name, _ in rows), default=0)
    for name, value in rows:
        print(f"  {name:{wide}}  {value}", flush=True)


def counted(outcomes: Counter[str]) -> list[tuple[str, object]]:
    """Counts as rows, the most frequent first, with their share; remarks in brackets aside."""
    total = sum(n for word, n in outcomes.items() if not word.startswith("("))
    return [
        (word, f"{n:5d}  {100 * n / max(total, 1):5.1f} %") for word, n in outcomes.most_common()
    ]
