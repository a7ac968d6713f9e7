"""Precision and recall of the findings on pieces whose faults are known.

Run: python -m tests.benchmarks.findings_accuracy [pieces] [workers] [first seed]
"""

from __future__ import annotations

import sys
import time
from collections import Counter
from collections.abc import Iterable
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, replace
from itertools import combinations

import numpy as np

from analysis.body.angles import BodySeries
from analysis.findings.find import find
from analysis.force.piece import analyse
from analysis.force.trace import ForceTrace
from samples.faults import FAULTS, FORCE_FAULTS
from samples.force_recording import RecorderOptions, record
from samples.piece import Piece, PieceOptions, simulate_piece
from samples.rower import Build, move
from tests.benchmarks import findings_generator

STRENGTHS = {0.35: "light", 0.6: "medium", 1.0: "strong"}

# A fault may rightly raise another finding: (fault, finding): why.
COMPANIONS: dict[tuple[str, str], str] = {
    ("hard-catch", "early-loss"): "what is spent at the catch is missing afterwards",
    ("hard-catch", "peaky"): "a spike at the catch is a narrow peak",
    ("give", "back-rounds"): "the low back is what gives in the simulated body",
    ("give", "hard-catch"): "a give starts from legs that bite too early",
    ("give", "late-peak"): "behind a deep give only the second hump stands high",
    ("give", "peaky"): "the give takes the first half of the plateau",
    ("stepped-build-up", "late-peak"): "the stairs take more than a third of the drive",
    ("stepped-build-up", "peaky"): "the stairs leave no room for a plateau",
    ("peaky", "early-loss"): "a narrow hump has no second half",
    ("peaky", "empty-finish"): "a narrow hump leaves its end empty",
    ("peaky", "empty-lean-back"): "the trunk goes on where the hump has ended",
    ("early-loss", "peaky"): "a peak that falls at once is narrow",
    ("early-loss", "empty-finish"): "lost early enough, nothing is left for the finish",
    ("early-loss", "empty-lean-back"): "the trunk goes on after the force",
    ("empty-finish", "early-loss"): "a long empty finish begins early",
    ("empty-finish", "peaky"): "an empty third leaves a low mean for the peak",
    ("empty-finish", "empty-lean-back"): "the trunk goes on where the force is gone",
    ("empty-lean-back", "empty-finish"): "the simulated force is let go with the lean-back",
    ("empty-lean-back", "early-loss"): "as empty finish",
    ("empty-lean-back", "peaky"): "as empty finish",
    ("early-arms", "empty-lean-back"): "arms that came first leave the trunk to swing at the end",
    ("late-peak", "peaky"): "a late hump is narrower in time: the handle is fast there",
    ("fading", "uneven"): "a loss that is no straight line is a difference between strokes",
    ("uneven", "fading"): "uneven strokes may happen to fall",
    ("thrown-catch", "early-trunk"): "a trunk thrown far forward opens with the first push",
}
# Pairs of which the drawing itself leaves one out: (gone, with): why.
CANCELLED: dict[tuple[str, str], str] = {
    **{
        (code, "peaky"): "the hump replaces the drawn curve"
        for code in ("stepped-build-up", "late-peak", "early-loss", "hard-catch", "empty-finish")
    },
    ("hard-catch", "stepped-build-up"): "one build-up cannot be both",
    ("stepped-build-up", "hard-catch"): "one build-up cannot be both",
    ("hard-catch", "late-peak"): "one curve cannot be both early and late",
    ("late-peak", "hard-catch"): "one curve cannot be both early and late",
    ("early-loss", "late-peak"): "one curve cannot be both early and late",
    ("late-peak", "early-loss"): "one curve cannot be both early and late",
    ("stepped-build-up", "early-loss"): "the decline begins before the stairs are over",
    ("late-peak", "give"): "a give is drawn with an earlier bite, which undoes the lateness",
    ("early-loss", "stepped-build-up"): "the stairs move the decline back",
    ("late-peak", "empty-finish"): "a force that is gone by two thirds has no late peak",
    ("late-peak", "empty-lean-back"): "as empty finish",
    ("peaky", "hard-catch"): "a spike at the catch leaves a flat rest",
    ("peaky", "stepped-build-up"): "the hump replaces the drawn curve",
    ("finish-snatch", "empty-finish"): "what is let go cannot be snatched",
    ("finish-snatch", "empty-lean-back"): "as empty finish",
    ("empty-finish", "finish-snatch"): "what is snatched is not empty",
    ("early-trunk", "thrown-catch"): "a further reach lengthens the way that is counted",
    ("give", "hard-catch"): "the bite before the give is the hard catch",
    ("give", "peaky"): "on the steep flank of the hump force halts but does not drop",
    ("give", "late-peak"): "on a late flank force halts but does not drop",
    ("give", "stepped-build-up"): "one build-up cannot be both",
    ("stepped-build-up", "give"): "one build-up cannot be both",
}


@dataclass(frozen=True)
class Case:
    """One piece to judge: seed, faults and their common strength."""

    seed: int
    faults: tuple[str, ...]
    strength: float


@dataclass(frozen=True)
class Outcome:
    """What was raised of it (faults only), and whether the handle's position was recorded."""

    case: Case
    raised: tuple[str, ...]
    position: bool


def cases(count: int) -> list[Case]:
    """A fifth clean, a good half single faults, the rest pairs; three strengths."""
    rng = np.random.default_rng(5)
    out = [Case(i, (), 0.0) for i in range(count // 5)]
    singles = [(code,) for code in FAULTS]
    each = max(1, count // 2 // (len(singles) * len(STRENGTHS)))
    for strength in STRENGTHS:
        for faults in singles * each:
            out.append(Case(len(out), faults, strength))
    pairs = list(combinations(FAULTS, 2))
    while len(out) < count:
        strength = float(rng.choice(list(STRENGTHS)))
        out.append(Case(len(out), pairs[len(out) % len(pairs)], strength))
    return out


def judge(case: Case) -> Outcome:
    """Simulate, record with every noise, analyse, find."""
    rng = np.random.default_rng([case.seed, 3])
    rate = float(rng.uniform(18.0, 40.0))
    stature = float(rng.uniform(1.62, 1.98))
    piece = simulate_piece(
        PieceOptions(
            pull_m=1.22 * stature / 1.84,
            seed=case.seed,
            rate_spm=rate,
            duration_s=float(rng.integers(13, 22)) * 60.0 / rate,
            peak_n=float(rng.uniform(0.7, 1.3)) * (560.0 + 14.0 * (rate - 20.0)),
            faults=tuple((code, case.strength) for code in case.faults),
        )
    )
    options = RecorderOptions(
        sample_hz=float(rng.choice([50.0, 100.0, 200.0])),
        noise=float(rng.uniform(0.0, 0.03)),
        baseline_n=float(rng.uniform(0.0, 6.0)),
        dropouts=float(rng.uniform(0.0, 0.01)),
        position=bool(rng.random() < 0.67),
    )
    held = record(piece, options, case.seed)
    trace = ForceTrace(held.time_s, held.force_n, held.position_m)
    found = find(analyse(trace), None, watch(piece, rng, stature))
    return Outcome(case, tuple(f.code for f in found if not f.good), options.position)


def watch(piece: Piece, rng: np.random.Generator, stature_m: float) -> BodySeries:
    """The body at 30 a second with landmarks that jump: 2 degrees, 4 mm, 2 % lost."""
    time_s = np.arange(0.0, float(piece.time_s[-1]), 1.0 / 30.0)
    motion = move(piece, time_s, Build(stature_m))

    def jump(values: np.ndarray, size: float) -> np.ndarray:
        seen = values + rng.normal(0.0, size, len(values))
        return np.where(rng.random(len(values)) < 0.02, np.nan, seen)

    degrees = float(np.radians(2.0))
    return BodySeries(
        time_s,
        jump(motion.angles["knee"], degrees),
        jump(motion.angles["trunk"], degrees),
        jump(motion.angles["low_back"], degrees),
        jump(motion.angles["elbow"], degrees),
        jump(motion.points["seat"][:, 0], 0.004),
        jump(motion.points["handle"][:, 0], 0.004),
        jump(motion.points["handle"][:, 1], 0.004),
    )


def judge_drawn(case: Case) -> Outcome:
    """The same on pieces drawn from formulas."""
    fault = case.faults[0] if case.faults else None
    trace = findings_generator.draw_piece(case.seed, fault, case.strength)
    found = find(analyse(trace))
    return Outcome(case, tuple(f.code for f in found if not f.good), False)


# Two faults together may draw a third.
TOGETHER: dict[tuple[str, str, str], str] = {
    ("hard-catch", "late-peak", "give"): "a spike before a late hump leaves a valley between",
    ("hard-catch", "peaky", "give"): "a spike before a hump leaves a valley between",
    ("hard-catch", "peaky", "late-peak"): "the hump behind a spike is the late one",
}


def expected(code: str, case: Case) -> bool:
    """Whether a fault is in the piece and visible in it."""
    others = [f for f in case.faults if f != code]
    return code in case.faults and not any((code, o) in CANCELLED for o in others)


def allowed(code: str, case: Case) -> bool:
    """Whether a finding may be raised although its fault was not put in."""
    if any((f, g, code) in TOGETHER for f in case.faults for g in case.faults):
        return True
    return code in case.faults or any((f, code) in COMPANIONS for f in case.faults)


def print_table(outcomes: Iterable[Outcome], codes: Iterable[str]) -> None:
    """Precision and recall for each finding at each strength."""
    kept = list(outcomes)
    clean = [o for o in kept if not o.case.faults]
    print(
        f"{'finding':18s}" + "".join(f"{w + ' P':>11s}{w + ' R':>11s}" for w in STRENGTHS.values())
    )
    for code in codes:
        cells = ""
        for strength in STRENGTHS:
            there = [o for o in kept if o.case.strength == strength]
            pool = there + clean[: len(clean) // 3]
            hit = sum(code in o.raised and expected(code, o.case) for o in there)
            should = sum(expected(code, o.case) for o in there)
            wrong = sum(code in o.raised and not allowed(code, o.case) for o in pool)
            precision = hit / (hit + wrong) if hit + wrong else float("nan")
            cells += f"{precision:11.3f}{hit / should if should else float('nan'):11.3f}"
        print(f"{code:18s}{cells}")
    false = sum(len(o.raised) for o in clean)
    print(f"clean pieces {len(clean)}, false findings a clean piece {false / len(clean):.4f}")
    print("  of these:", dict(Counter(c for o in clean for c in o.raised)))


def print_ranks(outcomes: list[Outcome]) -> None:
    """Whether the one fault of a piece comes first, and how much else is said."""
    alone = [o for o in outcomes if len(o.case.faults) == 1 and o.case.strength >= 0.6]
    first = sum(bool(o.raised) and o.raised[0] == o.case.faults[0] for o in alone)
    leads = sum(o.case.faults[0] in o.raised[:3] for o in alone)
    said = sum(len(o.raised) for o in alone)
    print(
        f"single faults from medium on ({len(alone)}): first {first / len(alone):.3f}, among the "
        f"first three {leads / len(alone):.3f}, findings a piece {said / len(alone):.2f}"
    )


def print_confusion(outcomes: list[Outcome], codes: tuple[str, ...], strength: float) -> None:
    """Share of single-fault pieces (rows) that raised each finding (columns), percent."""
    print(f"\nConfusion, single faults, {STRENGTHS[strength]}, percent of pieces:")
    print(" " * 18 + "".join(f"{c[:7]:>8s}" for c in FAULTS))
    for fault in codes:
        rows = [o for o in outcomes if o.case.faults == (fault,) and o.case.strength == strength]
        if not rows:
            continue
        shares = [100.0 * sum(c in o.raised for o in rows) / len(rows) for c in FAULTS]
        print(f"{fault:18s}" + "".join(f"{s:8.0f}" if s else f"{'.':>8s}" for s in shares))


def print_missed(outcomes: list[Outcome]) -> None:
    """Where medium and strong pieces go wrong, by the faults in them."""
    wrong: Counter[str] = Counter()
    for o in outcomes:
        if o.case.strength < 0.6:
            continue
        for code in o.raised:
            if not allowed(code, o.case):
                wrong[f"raised {code} with {'+'.join(o.case.faults)}"] += 1
        for code in o.case.faults:
            if expected(code, o.case) and code not in o.raised:
                other = "+".join(f for f in o.case.faults if f != code) or "alone"
                wrong[f"missed {code} {other}"] += 1
    print("\nMost frequent errors from medium on:")
    for text, count in wrong.most_common(40):
        print(f"  {count:4d} {text}")


def main() -> None:
    """Print the tables."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 3200
    workers = int(sys.argv[2]) if len(sys.argv) > 2 else 2
    first_seed = int(sys.argv[3]) if len(sys.argv) > 3 else 0
    begun = time.perf_counter()
    with ProcessPoolExecutor(workers) as pool:
        fresh = [replace(c, seed=c.seed + first_seed) for c in cases(count)]
        simulated = list(pool.map(judge, fresh, chunksize=40))
        single = [Case(i, (), 0.0) for i in range(count // 5)]
        for strength in STRENGTHS:
            for code in findings_generator.FAULTS * max(1, count // 80):
                single.append(Case(len(single), (code,), strength))
        fresh = [replace(c, seed=c.seed + first_seed) for c in single]
        drawn = list(pool.map(judge_drawn, fresh, chunksize=40))
    print(f"Simulated athlete: {len(simulated)} pieces, {time.perf_counter() - begun:.0f} s in all")
    print_table(simulated, FAULTS)
    rushed = [o for o in simulated if o.case.strength >= 0.6 and "rushed-recovery" in o.case.faults]
    for has in (True, False):
        known = [o for o in rushed if o.position is has]
        hits = sum("rushed-recovery" in o.raised for o in known)
        print(f"rushed-recovery from medium on, position {has}: {hits} of {len(known)}")
    print_ranks(simulated)
    for strength in (0.6, 1.0):
        print_confusion(simulated, FAULTS, strength)
    print_missed(simulated)
    print(f"\nDrawn from formulas: {len(drawn)} pieces")
    print_table(drawn, findings_generator.FAULTS)
    print_ranks(drawn)
    for strength in (0.6, 1.0):
        print_confusion(drawn, FORCE_FAULTS, strength)
    print_missed(drawn)


if __name__ == "__main__":
    main()
