"""How often a follow-up says something wrong of athletes whose truth is known.

`python -m tests.benchmarks.follow_up_rates [ATHLETES] [ROWED]`: numbers drawn with days that differ
by more or less than is assumed; then ROWED pieces of the simulated rower, cut and measured.
"""

from __future__ import annotations

import sys
from collections import Counter
from functools import cache

import numpy as np

from analysis.following_up.follow import follow_up
from analysis.following_up.prescribed import Prescribed
from analysis.following_up.summaries import PieceSummary, SectionSummary, section_summary
from analysis.force.piece import analyse
from analysis.force.trace import ForceTrace
from analysis.sections.finding_sections import find_sections
from analysis.statistics import wilson
from samples.force_recording import RecorderOptions, record
from samples.piece import PieceOptions, simulate_piece
from tests.helpers.drawn_athletes import USUAL, Athlete, piece_of

LATE, SHARE = "late-peak", "give"
LIMIT = -0.5  # of the latent value of the finding: shown by about seven strokes of ten


def _target(before: PieceSummary) -> Prescribed:
    """Ask for what lies four spreads of strokes away from what was rowed."""
    middle, spread, _ = USUAL["time_to_peak_pct"]
    mean = before.sections[0].measures["time_to_peak_pct"].mean
    return Prescribed(LATE, "Late peak", "time_to_peak_pct", "less", mean - 4.0 * spread * middle)


def _picked(rng: np.random.Generator, athlete: Athlete, strokes: int) -> PieceSummary:
    """Draw days until one looks bad enough for a coach to speak: that is the one prescribed on."""
    middle, spread, _ = USUAL["time_to_peak_pct"]
    while True:
        piece = piece_of(rng, athlete, strokes=strokes, found=SHARE, limit=LIMIT)
        late = piece.sections[0].measures["time_to_peak_pct"].mean
        if piece.findings and piece.findings[0].raised and late > middle + 0.25 * spread * middle:
            return piece


def drawn(
    count: int, athlete: Athlete, rate_spm: float = 24.0, history: int = 0, strokes: int = 40,
    seed: int = 1,
) -> Counter[str]:  # fmt: skip
    """Follow athletes up once each; counts sentences by their truth."""
    rng = np.random.default_rng(seed)
    said: Counter[str] = Counter()
    for _ in range(count):
        earlier = [
            piece_of(rng, athlete, strokes=strokes, found=SHARE, limit=LIMIT)
            for _ in range(history)
        ]
        before = _picked(rng, athlete, strokes)
        after = piece_of(rng, athlete, True, strokes, rate_spm, SHARE, LIMIT)
        asked = (Prescribed(SHARE, "Give"), _target(before))
        rows = follow_up(before, after, asked, earlier).rows
        wrong = False
        for row in rows:
            name = SHARE if row.key == "share" else row.key
            truth = athlete.changed.get(name, 0.0)
            kind = "asked" if row.prescribed else "other"
            said[f"{kind} {row.outcome}{' true' if truth else ''}"] += 1
            off = row.outcome == "changed" and (
                not truth or (row.change is not None and row.change.difference * truth < 0.0)
            )
            off |= row.outcome == "not yet" and truth <= -4.0
            said["wrong sentences"] += off
            wrong |= off
            said["sentences"] += 1
            if row.key in USUAL and row.change is not None and not row.prescribed:
                scale = USUAL[row.key][0] * USUAL[row.key][1]
                said["intervals"] += 1
                said["held"] += row.change.low <= truth * scale <= row.change.high
        said["wrong tables"] += wrong
        said["tables"] += 1
    return said


@cache
def rowed(seed: int, rate_spm: float, give: float, strokes: int = 30) -> PieceSummary:
    """A piece of the simulated rower through the whole analysis."""
    faults = (("give", give),) if give else ()
    piece = simulate_piece(
        PieceOptions(
            seed=seed, duration_s=strokes * 60.0 / rate_spm + 1.0, rate_spm=rate_spm, faults=faults
        )
    )
    held = record(piece, RecorderOptions(noise=0.006), seed)
    cut = analyse(ForceTrace(held.time_s, held.force_n, held.position_m))
    sections: tuple[SectionSummary, ...] = tuple(
        section_summary(cut.strokes, cut.measures, section) for section in find_sections(cut)
    )
    return PieceSummary("force", sections, looked_at=("force",))


def of_rower(count: int, rates: tuple[float, float], gives: tuple[float, float]) -> Counter[str]:
    """Follow the simulated rower up; only sentences of "changed" are counted."""
    said: Counter[str] = Counter()
    for seed in range(count):
        before, after = (
            rowed(2 * seed + 1, rates[0], gives[0]),
            rowed(2 * seed + 2, rates[1], gives[1]),
        )
        found = follow_up(before, after)
        said["tables"] += 1
        said["compared"] += found.conditions.pair is not None
        said["sentences"] += len(found.rows)
        changed = [row.key for row in found.rows if row.outcome == "changed"]
        said["wrong sentences"] += len(changed)
        said["wrong tables"] += bool(changed)
        said.update(changed)
    return said


def _line(name: str, said: Counter[str]) -> str:
    wrong, tables = said["wrong tables"], said["tables"]
    low, high = wilson(wrong, tables)
    held = f", intervals held {said['held'] / said['intervals']:.3f}" if said["intervals"] else ""
    told = {k: v for k, v in sorted(said.items()) if k.startswith(("asked", "other"))}
    return (
        f"{name}: wrong tables {wrong}/{tables} ({wrong / tables:.3f}, {low:.3f}-{high:.3f}), "
        f"wrong sentences {said['wrong sentences']}/{said['sentences']}{held} {told or ''}"
    )


def main() -> None:
    """Print the rates."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 300
    pieces = int(sys.argv[2]) if len(sys.argv) > 2 else 6
    learned = {"time_to_peak_pct": -4.0, SHARE: -3.5}
    for day in (0.0, 0.35, 0.7, 1.0):
        print(_line(f"unchanged, days {day}", drawn(count, Athlete(day))))
        print(_line(f"changed,   days {day}", drawn(count, Athlete(day, changed=learned))))
    for rate in (25.0, 25.4, 28.0):
        print(_line(f"unchanged, at {rate}", drawn(count, Athlete(0.5), rate)))
    for day in (0.5, 1.0, 1.5):
        print(_line(f"5 earlier, days {day}", drawn(count, Athlete(day), history=5)))
        print(_line("  changed", drawn(count, Athlete(day, changed=learned), history=5)))
    for rates in ((24.0, 24.0), (24.0, 25.2), (24.0, 28.0)):
        print(_line(f"rower at {rates}", of_rower(pieces, rates, (0.0, 0.0))))
    said = of_rower(pieces, (24.0, 24.0), (0.8, 0.0))
    print(f"rower without his give: {said['wrong tables']}/{said['tables']} tables say so: {said}")


if __name__ == "__main__":
    main()
