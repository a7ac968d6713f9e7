"""How often the truth lies within the stated 95 % interval, where all that is unknown is drawn.

    python -m tests.benchmarks.align_interval [--draws 200] [--first 0] [--only picture]

Pieces are drawn as signals by tests/helpers/clock_pieces.py, which shares no figure with the
line-up. Error and interval are those of the middle of what is common. Which
stroke is which is not asked here: strokes are looked for around the true offset, from a start up
to 60 ms off. With --search all ways are tried as `line_up` does, and those on the right stroke
count.
"""

from __future__ import annotations

import argparse
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from analysis.clocks.alignment import AlignmentError
from analysis.clocks.candidates import Scene, trial_near
from analysis.clocks.events import find_events, with_events
from analysis.clocks.matching import line_up
from analysis.clocks.trace_signal import trace_signal
from analysis.force.strokes import Stroke, find_strokes
from tests.helpers.clock_pieces import Sent, draw

# What is used: signals of the film, whether the force has a position, what is struck.
WAYS: dict[str, tuple[bool, bool, bool, bool, bool]] = {
    "picture, force alone": (True, False, False, False, False),
    "sound, force alone": (False, True, False, False, False),
    "both, force alone": (True, True, False, False, False),
    "picture, position": (True, False, True, False, False),
    "both, position": (True, True, True, False, False),
    "both, force alone, clap": (True, True, False, False, True),
    "both, force alone, knock": (True, True, False, True, False),
    "both, position, knock": (True, True, True, True, False),
}


@dataclass(frozen=True)
class Outcome:
    """One draw: error and half width in the middle of what is common, s."""

    error_s: float
    half_s: float
    method: str
    sent: Sent

    @property
    def right(self) -> bool:
        return abs(self.error_s) < 0.25


@lru_cache(maxsize=64)
def _sent(seed: int, position: bool, knock: bool, clap: bool) -> tuple[Sent, tuple[Stroke, ...]]:
    """A piece and its strokes, which are the same whatever of it is used."""
    sent = draw(seed, position=position, knock=knock, clap=clap)
    return sent, find_strokes(sent.trace)


def judge(way: str, seed: int, search: bool = False) -> Outcome | None:
    """Draw a piece and line it up."""
    seen, heard, position, knock, clap = WAYS[way]
    sent, strokes = _sent(seed, position, knock, clap)
    motion, sound = sent.motion if seen else None, sent.sound if heard else None
    low = max(float(sent.trace.time_s[0]), -sent.offset_s)
    high = min(float(sent.trace.time_s[-1]), float(sent.motion.time_s[-1]) - sent.offset_s)
    middle = 0.5 * (low + high)
    if search:
        try:
            found = line_up(motion, sound, sent.trace, strokes, 1.0)
        except AlignmentError:
            return None
        a = found.alignment
        error = a.video_time(middle) - sent.film_s(middle)
        return Outcome(error, found.common_uncertainty_s, a.method, sent)
    scene = Scene(motion, sound, trace_signal(sent.trace, strokes))
    start = sent.offset_s + float(np.random.default_rng(seed).uniform(-0.06, 0.06))
    trial = trial_near(scene, start, sent.sign)
    if trial is None:
        return None
    events = find_events(motion, sound, sent.trace, strokes)
    trial = with_events(trial, events)
    error = trial.fit.offset_s + trial.fit.slope * middle - sent.film_s(middle)
    return Outcome(
        error, trial.half_width(middle), " and ".join(w.name for w in trial.witnesses), sent
    )


def summary(way: str, outcomes: list[Outcome]) -> str:
    right = [o for o in outcomes if o.right]
    error = 1e3 * np.array([o.error_s for o in right])
    half = 1e3 * np.array([o.half_s for o in right])
    low, middle, high = np.percentile(half, (5, 50, 95))
    return (
        f"{way:26s} n {len(outcomes):4d} right {len(right):4d} | bias {np.median(error):6.1f} "
        f"p50 {np.median(abs(error)):5.1f} p95 {np.percentile(abs(error), 95):5.1f} ms | "
        f"half {low:.0f} {middle:.0f} {high:.0f} ms | in: {np.mean(abs(error) <= half):6.1%} | "
        f"sd/half {2 * error.std() / half.mean():.2f}"
    )


def main() -> None:
    parser = argparse.ArgumentParser()
    parser.add_argument("--first", type=int, default=0)
    parser.add_argument("--draws", type=int, default=200)
    parser.add_argument("--only", default="")
    parser.add_argument("--search", action="store_true")
    given = parser.parse_args()
    for way in WAYS:
        if given.only not in way:
            continue
        got = (
            judge(way, seed, given.search) for seed in range(given.first, given.first + given.draws)
        )
        outcomes = [one for one in got if one is not None]
        print(summary(way, outcomes), flush=True)
        by = sorted({o.method for o in outcomes})
        print("   " + "; ".join(f"{m}: {sum(o.method == m for o in outcomes)}" for m in by))


if __name__ == "__main__":
    main()
