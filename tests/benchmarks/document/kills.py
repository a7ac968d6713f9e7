"""Kill -9 at any instant: ``python -m tests.benchmarks.document.kills [COUNT]`` (200 of changes).

A child works on a review and says what was acknowledged; it is killed at a random instant. Then the
file must open, hold every acknowledged change, the interrupted one whole or not at all, and please
SQLite's own check. The same for making a review, going on under another name, and the first saving
of a review of schema 1 and 2. Ends with 1 where something acknowledged was lost.
"""

from __future__ import annotations

import random
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Sequence
from multiprocessing.context import ForkServerContext
from pathlib import Path

from app.review.parts.state import ReviewState
from tests.benchmarks.document import actor
from tests.benchmarks.document.trial import (
    OLD,
    Child,
    Said,
    counted,
    expected,
    fork_server,
    said,
    state_of,
    table,
)
from tests.benchmarks.document.work import Found, examine, sounds_in

LONGEST_S = 0.6  # of work before the kill
AGAIN = 12  # kills in a row on one file, each going on from what the last one left
ENDLESS = 1_000_000
Tally = Counter[str]


def killed_changes(
    context: ForkServerContext, folder: Path, seed: int, start: ReviewState, delay_s: float
) -> tuple[Found, Said]:
    """Work, be killed, be looked at."""
    child = Child(context, actor.changes, folder, seed, ENDLESS)
    child.wait_for(1)
    time.sleep(delay_s)
    far = said(child.end(kill=True))
    return look("changes", folder, expected("changes", start, seed, far.begun), far), far


def changes_rounds(
    context: ForkServerContext, count: int, bad: list[str], longest_s: float = LONGEST_S
) -> tuple[Tally, int]:
    """Kills in streams of changes; gives the outcomes and how many changes were acknowledged."""
    tally: Tally = Counter()
    rng, acknowledged = random.Random(1), 0
    for first in range(0, count, AGAIN):
        with tempfile.TemporaryDirectory() as name:
            folder = Path(name)
            actor.prepare("changes", folder)
            start = state_of(folder / actor.NAME)
            for seed in range(first, min(first + AGAIN, count)):
                delay_s = rng.uniform(0.0, longest_s)
                found, far = killed_changes(context, folder, seed, start, delay_s)
                tally[found.outcome] += 1
                acknowledged += max(far.acknowledged, 0)
                tally.update(_left(folder))
                if not found.is_whole or found.state is None:
                    bad.append(f"changes, seed {seed}: {found.outcome} {found.said}")
                    break
                start = found.state
    return tally, acknowledged


def _left(folder: Path) -> Tally:
    """Kinds of files that still lie beside the review once it was opened again."""
    ends = (".part", "-journal", "-wal", "-shm")
    kinds = {end for p in folder.rglob("*") for end in ends if p.name.endswith(end)}
    return Counter(f"(left beside: *{end})" for end in kinds)


def job_rounds(
    context: ForkServerContext, job: str, count: int, bad: list[str], original: Path | None = None
) -> Tally:
    """Kills during one job that is done once; the instants spread over its usual length."""
    tally: Tally = Counter()
    rng = random.Random(2)
    whole_s, keeps_older = _undisturbed(context, job, original)
    for seed in range(count):
        with tempfile.TemporaryDirectory() as name:
            folder = Path(name)
            actor.prepare(job, folder, original)
            path = folder / actor.NAME
            start = state_of(path) if path.exists() else actor.rich_without_sound()
            child = Child(context, actor.JOBS[job], folder, seed, 1)
            child.wait_for(1)
            time.sleep(rng.uniform(0.0, 1.1 * whole_s))
            far = said(child.end(kill=True))
            found = look(job, folder, expected(job, start, seed, 1), far, original)
            tally[found.outcome] += 1
            tally.update(_left(folder))
            problem = "" if found.is_whole else f"{found.outcome} {found.said}"
            if not problem and keeps_older and not _holds(folder, original):
                problem = "no copy of the older file is left"
            if problem:
                bad.append(f"{job} {original.name if original else ''}, seed {seed}: {problem}")
    return tally


def look(
    job: str, folder: Path, states: Sequence[ReviewState], far: Said, original: Path | None = None
) -> Found:
    """What a job that was cut off left, under the name it had come to.

    Parameters
    ----------
    states : what the job leaves after 0, 1, ... steps, see `expected`
    original : the older review a migration began with
    """
    path, other = folder / actor.NAME, folder / actor.OTHER
    states, acknowledged = states[: max(far.begun, 0) + 1], max(far.acknowledged, 0)
    if job == "creating" and far.acknowledged < 0:
        return examine(path, states, 0) if path.exists() else Found("whole, not made yet")
    if job != "saving_as":
        sounds = None if original is None else sounds_in(original)
        return examine(path, states, acknowledged, sounds)
    old = examine(path, states[:1], 0)
    if not old.is_whole or (acknowledged < 1 and not other.exists()):
        return old
    return examine(other, states, acknowledged)


def _holds(folder: Path, original: Path | None) -> bool:
    """Whether the older file lies there as it was, under whatever name."""
    same = b"" if original is None else original.read_bytes()
    return any(p.read_bytes() == same for p in folder.rglob("*.review"))


def _undisturbed(context: ForkServerContext, job: str, original: Path | None) -> tuple[float, bool]:
    """A job left alone: its length from its first word in seconds, and if the older file stays."""
    with tempfile.TemporaryDirectory() as name:
        actor.prepare(job, Path(name), original)
        child = Child(context, actor.JOBS[job], Path(name), 0, 1)
        child.wait_for(1)
        start = time.perf_counter()
        child.end(kill=False)
        return time.perf_counter() - start, _holds(Path(name), original)


def main() -> int:
    count = int(sys.argv[1]) if sys.argv[1:] else 200
    context, bad = fork_server(), list[str]()
    start = time.perf_counter()
    tally, acknowledged = changes_rounds(context, count, bad)
    table(f"{count} kills in streams of changes, {acknowledged} acknowledged", counted(tally))
    few = max(count // 4, 5)
    for job in ("creating", "saving_as"):
        table(f"{few} kills while {job.replace('_', ' ')}", counted(
            job_rounds(context, job, few, bad)))  # fmt: skip
    for original in OLD:
        tally = job_rounds(context, "migrating", few, bad, original)
        table(f"{few} kills in the first saving of {original.name}", counted(tally))
    for line in bad:
        print(line)
    print(f"\n{time.perf_counter() - start:.0f} s; {len(bad)} with something lost")
    return 1 if bad else 0


if __name__ == "__main__":
    sys.exit(main())
