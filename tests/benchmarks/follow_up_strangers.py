"""Wrong sentences of a follow-up on athletes drawn otherwise than those it was made with.

`python -m tests.benchmarks.follow_up_strangers [ATHLETES]`: what a rower does hangs on four things
that differ from day to day (effort, timing, reach, care), each measure on some of them and on days
of its own; how much a day matters differs by measure and by athlete; strokes drift within a piece
and some are far out. Nothing here is shared with `follow_up_rates`.
"""

from __future__ import annotations

import sys
from dataclasses import dataclass

import numpy as np

from analysis.following_up.follow import follow_up
from analysis.following_up.prescribed import Prescribed
from analysis.following_up.summaries import PieceSummary, SectionSummary, measure_summary
from analysis.statistics import wilson

# Usual value, its spread over strokes as a share, and how it hangs on effort, timing, reach, care.
MEASURES: dict[str, tuple[float, float, tuple[float, float, float, float]]] = {
    "drive_s": (0.86, 0.025, (-0.4, 0.6, 0.5, 0.0)),
    "recovery_s": (1.55, 0.035, (0.0, -0.3, 0.2, 0.6)),
    "rhythm": (1.8, 0.045, (0.2, -0.6, -0.2, 0.5)),
    "peak_n": (540.0, 0.04, (0.9, 0.1, 0.0, 0.0)),
    "mean_n": (290.0, 0.035, (0.9, 0.0, 0.1, 0.0)),
    "impulse_ns": (250.0, 0.03, (0.7, 0.3, 0.4, 0.0)),
    "mean_to_peak": (0.54, 0.03, (0.0, -0.7, 0.0, 0.3)),
    "time_to_peak_pct": (41.0, 0.07, (-0.2, 0.8, 0.0, 0.0)),
    "rfd_n_per_s": (3100.0, 0.09, (0.6, -0.6, 0.0, 0.0)),
    "length_m": (1.31, 0.015, (0.1, 0.0, 0.9, 0.0)),
    "work_j": (370.0, 0.035, (0.8, 0.0, 0.5, 0.0)),
}
ASKED = "time_to_peak_pct"


@dataclass(frozen=True)
class Stranger:
    """How much each measure differs from day to day, in spreads of strokes."""

    day: dict[str, float]
    alike: float
    drift: float


def stranger(rng: np.random.Generator, day: float) -> Stranger:
    """Draw an athlete; days matter by `day` in the middle, from a half to twice as much."""
    return Stranger(
        {key: day * float(np.exp(0.4 * rng.standard_normal())) for key in MEASURES},
        float(rng.uniform(0.0, 0.6)),
        float(0.3 * rng.standard_normal()),
    )


def piece(rng: np.random.Generator, who: Stranger, change: float = 0.0) -> PieceSummary:
    """Draw a piece of 25 to 70 strokes."""
    count = int(rng.integers(25, 71))
    factors = rng.standard_t(6, 4) / np.sqrt(1.5)
    told = {}
    for key, (middle, spread, loads) in MEASURES.items():
        own = np.sqrt(max(0.0, 1.0 - float(np.dot(loads, loads))))
        day = float(np.dot(loads, factors)) + own * rng.standard_normal()
        noise = rng.standard_normal(count + 1)
        rows = [noise[0]]
        for fresh in noise[1:]:
            rows.append(who.alike * rows[-1] + np.sqrt(1.0 - who.alike**2) * fresh)
        strokes = np.array(rows[1:]) + who.drift * np.linspace(-1.0, 1.0, count)
        strokes += np.where(rng.random(count) < 0.02, 3.0 * rng.standard_normal(count), 0.0)
        shift = change if key == ASKED else 0.0
        values = middle * (1.0 + spread * (who.day[key] * day + shift + strokes))
        summed = measure_summary(key, values.tolist())
        assert summed is not None
        told[key] = summed
    rate = measure_summary("rate_spm", (24.5 + 0.3 * rng.standard_normal(count)).tolist())
    assert rate is not None
    told["rate_spm"] = rate
    section = SectionSummary("", count, rate.mean, told["mean_n"].mean, told)
    return PieceSummary("force", (section,), (), looked_at=("force",))


def counted(count: int, day: float, change: float, seed: int = 7) -> tuple[int, int, int]:
    """Wrong tables, tables that say the change that was, and tables that were compared."""
    rng = np.random.default_rng(seed)
    wrong = heard = tables = 0
    while tables < count:
        who = stranger(rng, day)
        before = piece(rng, who)
        middle = MEASURES[ASKED][0]
        if before.sections[0].measures[ASKED].mean < middle:  # nobody would have spoken of it
            continue
        found = follow_up(
            before, piece(rng, who, change), (Prescribed("late-peak", "Late peak", ASKED, "less"),)
        )
        if found.conditions.pair is None:
            continue
        tables += 1
        said = {row.key for row in found.rows if row.outcome == "changed"}
        heard += ASKED in said
        wrong += bool(said - ({ASKED} if change else set()))
    return wrong, heard, tables


def main() -> None:
    """Print the rates."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 400
    for day in (0.35, 0.7, 1.0, 1.5, 2.0):
        wrong, _, tables = counted(count, day, 0.0)
        low, high = wilson(wrong, tables)
        print(f"days {day}: unchanged, wrong tables {wrong}/{tables} ({low:.3f}-{high:.3f})")
        also, heard, tables = counted(count, day, -4.0)
        print(f"  changed by 4: said {heard}/{tables}, and something else too {also}", flush=True)


if __name__ == "__main__":
    main()
