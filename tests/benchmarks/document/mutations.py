"""Damaged review files: ``python -m tests.benchmarks.document.mutations [COUNT]`` (500).

A file with something of everything has bits flipped, sectors zeroed, its end cut off, pages
exchanged, its first page wiped, rubbish behind it, or a page of yesterday among those of today.
Each is opened in a process of its own: whole, refused in a sentence, opened with less and saying
so, silently changed, a traceback, no end. Where there is a command `recover`, what it brings back
of those that do not open whole. Ends with 1 where content changed silently, or without a sentence.
"""

from __future__ import annotations

import contextlib
import io
import os
import random
import signal
import sys
import tempfile
import time
from collections import Counter
from dataclasses import dataclass, fields
from multiprocessing.connection import Connection
from multiprocessing.context import ForkServerContext
from pathlib import Path

from app.review.parts.notes import EditNote
from app.review.parts.state import ReviewState
from app.review.review import Review
from app.review.values.errors import ReviewError
from tests.benchmarks.document.trial import counted, fork_server, table
from tests.benchmarks.document.work import closing, create_rich, rich_state, sound_ids, wav_of

SIZES = (20_000, 60_000)
NOTES = 150
LIMIT_S = 60
KINDS = (
    "bits flipped", "sectors zeroed", "cut off", "pages exchanged", "first page wiped",
    "rubbish behind", "page of yesterday",
)  # fmt: skip
GOOD = ("whole", "whole, a voice refused in words", "refused in words", "less, and it says so")


def damaged(data: bytes, older: bytes, kind: str, rng: random.Random, page: int = 4096) -> bytes:
    """Damage a file in one way; `older` is the same file as it was before."""
    out = bytearray(data)
    pages = len(out) // page
    if kind == "bits flipped":
        for _ in range(rng.choice((1, 1, 3, 30, 300))):
            out[rng.randrange(len(out))] ^= 1 << rng.randrange(8)
    elif kind == "sectors zeroed":
        for _ in range(rng.choice((1, 2, 8))):
            at = rng.randrange(len(out) // 512) * 512
            out[at : at + 512] = bytes(512)
    elif kind == "cut off":
        del out[rng.choice((rng.randrange(len(out)), rng.randrange(pages) * page)) :]
    elif kind == "pages exchanged":
        a, b = (rng.randrange(pages) * page for _ in range(2))
        out[a : a + page], out[b : b + page] = out[b : b + page], out[a : a + page]
    elif kind == "first page wiped":
        wiped = rng.choice((16, 100, 512, page))
        out[:wiped] = bytes(wiped)
    elif kind == "rubbish behind":
        out += rng.randbytes(rng.choice((1, 512, page, 100_000)))
    else:
        places = range(0, min(len(out), len(older)) - page, page)
        at = rng.choice([i for i in places if out[i : i + page] != older[i : i + page]])
        out[at : at + page] = older[at : at + page]
    return bytes(out)


@dataclass(frozen=True)
class Outcome:
    """What came of one damaged file, with the shares `recover` brought back."""

    word: str
    said: str = ""
    recovered: tuple[float, float, float] | None = None
    recover_said: str = ""


def tried(path: Path, state: ReviewState) -> Outcome:
    """Open a damaged file and compare it with what it held."""
    word, text = _opened(path, state)
    if word == "whole" or not has_recover():
        return Outcome(word, text)
    shares, told = recovered(path, path.with_name("back.review"), state)
    return Outcome(word, text, shares, told)


def _opened(path: Path, state: ReviewState) -> tuple[str, str]:
    try:
        with closing(Review.open(path)) as review:
            refused = 0
            for id_ in sound_ids(review.state):
                try:
                    if review.sound(id_) != wav_of(id_, SIZES):
                        return "silently changed", f"sound {id_}"
                except ReviewError:
                    refused += 1
            if review.state == state:
                return ("whole, a voice refused in words" if refused else "whole"), ""
            if _remarks(review):
                return "less, and it says so", _remarks(review)
            return "silently changed", ", ".join(_differing(review.state, state))
    except ReviewError as error:
        text = str(error)
        whole = text.endswith((".", '."')) and "\n" not in text
        return ("refused in words" if whole else "refused, but not in a sentence"), text
    except Exception as error:  # noqa: BLE001 - any other is what is looked for
        return "traceback", f"{type(error).__name__}: {error}"


def _remarks(review: Review) -> str:
    """What an opened review says of what it could not read, where this code has such a thing."""
    for name in ("remarks", "warnings", "problems", "damage", "salvaged"):
        if said := getattr(review, name, None):
            return str(said)
    return ""


def _differing(a: ReviewState, b: ReviewState) -> list[str]:
    return [f.name for f in fields(b) if getattr(a, f.name) != getattr(b, f.name)]


def has_recover() -> bool:
    """Whether this code has the command `recover`."""
    from app.commands import program as commands

    out = io.StringIO()
    with contextlib.redirect_stdout(out):
        commands.main(["--help"])
    return any(line.split()[:1] == ["recover"] for line in out.getvalue().splitlines())


def recovered(path: Path, out: Path, state: ReviewState) -> tuple[tuple[float, float, float], str]:
    """Shares of notes, marks and voices that `recover` brings back as they were."""
    from app.commands import program as commands

    said = io.StringIO()
    with contextlib.redirect_stdout(said), contextlib.redirect_stderr(said):
        code = commands.main(["recover", str(path), "-o", str(out)])
    if code != 0 or not out.exists():
        return (0.0, 0.0, 0.0), f"exit {code}: {said.getvalue().strip()}"
    try:
        with closing(Review.open(out)) as review:
            back = review.state
            sounds = 0
            for id_ in set(sound_ids(state)) & set(sound_ids(back)):
                with contextlib.suppress(ReviewError):
                    sounds += review.sound(id_) == wav_of(id_, SIZES)
    except ReviewError as error:
        return (0.0, 0.0, 0.0), f"what was brought back does not open: {error}"
    notes = len({(n.id, n.text, n.video_s) for n in state.notes}
                & {(n.id, n.text, n.video_s) for n in back.notes})  # fmt: skip
    marks = len(set(state.marks) & set(back.marks))
    voices = max(len(sound_ids(state)), 1)
    return (notes / len(state.notes), marks / len(state.marks), sounds / voices), "back"


def _try_and_tell(path: Path, state: ReviewState, out: Connection) -> None:
    signal.alarm(LIMIT_S)  # whatever hangs, also inside SQLite, ends without a word
    out.send(tried(path, state))


def tried_aside(context: ForkServerContext, path: Path, state: ReviewState) -> Outcome:
    """The same in a process of its own, which may crash or hang."""
    ours, theirs = context.Pipe(duplex=False)
    process = context.Process(target=_try_and_tell, args=(path, state, theirs))
    process.start()
    theirs.close()
    try:
        outcome: Outcome = ours.recv()
    except EOFError:
        process.join()
        outcome = Outcome("hung" if process.exitcode == -signal.SIGALRM else "crashed",
                          f"exit {process.exitcode}")  # fmt: skip
    process.join()
    ours.close()
    return outcome


def two_versions(folder: Path, notes: int = NOTES) -> tuple[bytes, bytes, ReviewState]:
    """A rich file of today, the same of yesterday, and what today's holds."""
    path = folder / "piece.review"
    create_rich(path, rich_state(notes, SIZES), SIZES)
    older = path.read_bytes()
    with closing(Review.open(path)) as review:
        for note in review.state.notes[:notes:3]:
            review.do(EditNote(note.id, text=note.text + " Better today."))
        review.save()
        state = review.state
    return path.read_bytes(), older, state


def main() -> int:
    count = int(sys.argv[1]) if sys.argv[1:] else 500
    rng, context = random.Random(500), fork_server()
    outcomes: Counter[str] = Counter()
    by_kind: dict[str, Counter[str]] = {kind: Counter() for kind in KINDS}
    shares: list[tuple[float, float, float]] = []
    remarks: Counter[str] = Counter()
    start = time.perf_counter()
    with tempfile.TemporaryDirectory() as name:
        data, older, state = two_versions(Path(name))
        for k in range(count):
            kind = KINDS[k % len(KINDS)]
            with tempfile.TemporaryDirectory(dir=name) as place:
                path = Path(place, "piece.review")
                path.write_bytes(damaged(data, older, kind, rng))
                outcome = tried_aside(context, path, state)
            outcomes[outcome.word] += 1
            by_kind[kind][outcome.word] += 1
            if outcome.recovered is not None:
                shares.append(outcome.recovered)
            if outcome.word not in GOOD:
                remarks[f"{kind}: {outcome.word}: {outcome.said[:120]}"] += 1
    table(f"{count} mutations of a review of {len(data) // 1024} kB", counted(outcomes))
    for kind, tally in by_kind.items():
        table(kind, counted(tally))
    _tell_shares(shares)
    table("what was no sentence", [(said, n) for said, n in remarks.most_common(25)])
    bad = sum(n for word, n in outcomes.items() if word not in GOOD)
    print(f"\n{time.perf_counter() - start:.0f} s; {bad} without a word")
    return 1 if bad else 0


def _tell_shares(shares: list[tuple[float, float, float]]) -> None:
    if not has_recover():
        print("\nrecover: skipped, this code has no such command")
        return
    rows = [
        (what, f"{100 * sum(s[i] for s in shares) / max(len(shares), 1):.1f} % on average, all of"
         f" them in {sum(s[i] == 1.0 for s in shares)} of {len(shares)} files")
        for i, what in enumerate(("notes", "marks", "voices"))
    ]  # fmt: skip
    table("brought back by recover from those that did not open whole", rows)


if __name__ == "__main__":
    os.environ.pop("STROKESIDE_DEBUG", None)
    sys.exit(main())
