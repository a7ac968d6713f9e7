"""How well both sides of a film with a cut are lined up, and how often one is claimed wrongly.

    python -m tests.benchmarks.align_cuts [--films 40] [--first 0]

Pieces are drawn by rhythms of their own (tests/helpers/rhythms.py), as the signals measured of
footage; 0.5 to 20 s are left out somewhere in the middle third. A side is wrong where it is said to
be lined up and lies more than 0.5 s from the truth. "unlike" are films whose second side is of
another piece: nothing may be claimed of it.
"""

from __future__ import annotations

import argparse
from collections import Counter
from dataclasses import replace

import numpy as np

from analysis.clocks.alignment import AlignmentError
from analysis.clocks.cuts import line_up_with_cuts
from analysis.clocks.motion import MotionSignal
from analysis.clocks.sound import SoundSignal
from analysis.force.strokes import find_strokes
from analysis.force.trace import ForceTrace
from tests.helpers import rhythms

DROPS_S = (0.5, 1.0, 2.0, 3.5, 6.0, 10.0, 20.0)
BEGINS_S, ZERO_S = 12.0, 2.0
WRONG_S = 0.5


def drawn(seed: int) -> tuple[ForceTrace, MotionSignal, SoundSignal | None, float]:
    """A film with a cut, its force, and what was left out, s; it is cut in its middle."""
    rng = np.random.default_rng([seed, 17])
    rhythm = rhythms.RHYTHMS[seed % len(rhythms.RHYTHMS)]
    drop_s, length_s = DROPS_S[seed % len(DROPS_S)], float(rng.uniform(50.0, 80.0))
    rowed = rhythms.row(rng, rhythms.periods(rng, rhythm, float(rng.uniform(20, 32)), 130.0))
    trace = rhythms.recorded(rng, rowed, 2.0, 115.0, ZERO_S)
    motion = rhythms.filmed(rng, rowed, BEGINS_S, length_s + drop_s)
    sound = rhythms.heard(rng, rowed, BEGINS_S, length_s + drop_s) if seed % 3 else None
    at_s = float(rng.uniform(0.33, 0.67)) * length_s
    return trace, *rhythms.cut_out(motion, sound, at_s, at_s + drop_s)


def unlike(seed: int) -> tuple[ForceTrace, MotionSignal, float]:
    """A film whose second side is of another piece, and where that begins."""
    trace, motion, _sound, _gone = drawn(seed)
    other = drawn(seed + 500)[1]
    at = int(0.45 * len(motion.time_s))
    travel = motion.travel.copy()
    count = min(len(travel), len(other.travel)) - at
    travel[at : at + count] = other.travel[at : at + count]
    changed = np.ones(len(travel))
    changed[at] = 4.0
    return trace, replace(motion, travel=travel, changed=changed), float(motion.time_s[at])


def main() -> None:
    parser = argparse.ArgumentParser()
    parser.add_argument("--films", type=int, default=40)
    parser.add_argument("--first", type=int, default=0)
    options = parser.parse_args()
    count: Counter[str] = Counter()
    errors: list[float] = []
    inside = 0
    for seed in range(options.first, options.first + options.films):
        trace, motion, sound, gone = drawn(seed)
        try:
            found = line_up_with_cuts(motion, sound, trace, find_strokes(trace), 1.0)
        except AlignmentError:
            count["refused"] += 1
            continue
        line = found.alignment
        count["film, " + found.verdict] += 1
        held = [] if line.ambiguous or not found.sides else list(line.parts)
        count["film, both sides"] += len(held) == 2
        for part in held:
            mid_s = 0.25 * motion.time_s[-1] if part.from_s is None else 0.75 * motion.time_s[-1]
            world_s = BEGINS_S + mid_s + (gone if part.from_s is not None else 0.0)
            off = part.trace_time(float(mid_s)) - (world_s - ZERO_S)
            if abs(off) > WRONG_S:
                count["side, wrong"] += 1
                continue
            count["side, right"] += 1
            errors.append(1000.0 * abs(off))
            inside += abs(off) <= (part.uncertainty_s or 0.0)
        if not found.sides and found.verdict == "lined up":
            count["cut not seen, claimed whole"] += 1
        trace, motion, from_s = unlike(seed)
        try:
            found = line_up_with_cuts(motion, None, trace, find_strokes(trace), 1.0)
        except AlignmentError:
            continue
        count["unlike"] += 1
        held = [] if found.alignment.ambiguous else list(found.alignment.parts)
        count["unlike, wrong side claimed"] += any(p.reaches(from_s + 5.0) for p in held)
    print(*(f"{what}: {n}" for what, n in sorted(count.items())), sep="\n")
    if errors:
        p50, p95 = np.percentile(errors, (50, 95))
        print(f"error p50 {p50:.0f} ms, p95 {p95:.0f} ms; within the stated {inside}/{len(errors)}")


if __name__ == "__main__":
    main()
