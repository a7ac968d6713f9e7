"""How near the line-up comes on simulated submissions, and whether its interval is honest.

    python -m tests.benchmarks.align_accuracy [--clips 60] [--cases 9] [--cache FOLDER]

Pictures are painted and followed at the size the line-up works at (align_generator); nothing is
encoded. Prints, for picture, sound and both, and with and without a handle position: the error of
the offset, the error in the middle of what is common, the share within half a frame where at least
8 strokes are common, how often it is off by a stroke, flagged or not, and how often the truth lies
in the stated interval.
"""

from __future__ import annotations

import argparse
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from analysis.clocks.alignment import AlignmentError
from analysis.clocks.matching import line_up
from analysis.clocks.motion import MotionError
from analysis.force.strokes import find_strokes
from tests.benchmarks.align_generator import Case, cached_clip, draw_case

KINDS = ("picture", "sound", "both")


@dataclass(frozen=True)
class Outcome:
    """What came out of one submission by one kind of signal; errors in video seconds."""

    case: Case
    kind: str
    found: bool
    error_s: float = np.nan
    middle_error_s: float = np.nan
    half_s: float = np.nan
    middle_half_s: float = np.nan
    ambiguous: bool = False
    likelihood: float = np.nan
    truth_listed: bool = False
    factor: float = 1.0
    took_s: float = 0.0

    @property
    def right(self) -> bool:
        """Whether it is on the right stroke at the right speed."""
        return self.found and abs(self.middle_error_s) < 0.25 * self.case.factor


def judge(case: Case, kind: str) -> Outcome:
    motion = None if kind == "sound" else case.motion
    sound = None if kind == "picture" else case.sound
    strokes = find_strokes(case.trace)
    start = time.perf_counter()
    try:
        got = line_up(motion, sound, case.trace, strokes)
    except AlignmentError:
        return Outcome(case, kind, False, took_s=time.perf_counter() - start)
    took = time.perf_counter() - start
    a = got.alignment
    end_s = case.sound.time_s[-1] if case.motion is None else case.motion.time_s[-1]
    true_rate = 1.0 + case.drift_ppm * 1e-6
    low = max(case.trace.time_s[0], -case.offset_s * true_rate)
    high = min(case.trace.time_s[-1], (end_s - case.offset_s) * true_rate)
    middle = 0.5 * float(low + high)
    truth = middle / true_rate + case.offset_s
    listed = any(
        abs(middle / (1.0 + c.drift_ppm * 1e-6) + c.offset_s - truth) < 0.25 * case.factor
        for c in got.candidates
    )
    return Outcome(
        case, kind, True, a.offset_s - case.offset_s, a.video_time(middle) - truth,
        a.uncertainty_s or np.nan, got.common_uncertainty_s, a.ambiguous,
        got.candidates[0].likelihood, listed, got.slow_motion, took,
    )  # fmt: skip


def summarise(name: str, outcomes: Sequence[Outcome]) -> None:
    if not outcomes:
        return
    right = [o for o in outcomes if o.right]
    wrong = [o for o in outcomes if o.found and not o.right]
    sure = [o for o in outcomes if o.found and not o.ambiguous]
    error = np.abs([o.error_s / o.case.factor for o in right]) * 1e3
    middle = np.array([o.middle_error_s / o.case.factor for o in right]) * 1e3
    eight = [o for o in right if o.case.common >= 8]
    half = [abs(o.middle_error_s) <= 0.5 / (o.case.fps) for o in eight]
    covered = np.mean([abs(o.error_s) <= o.half_s for o in right]) if right else np.nan
    covered_middle = (
        np.mean([abs(o.middle_error_s) <= o.middle_half_s for o in right]) if right else np.nan
    )
    if len(right) == 0:
        print(f"{name:34s} n {len(outcomes)} none right")
        return
    print(
        f"{name:34s} n {len(outcomes):4d} | none {sum(not o.found for o in outcomes):3d} "
        f"wrong {len(wrong):3d} unflagged {sum(not o.ambiguous for o in wrong):2d} "
        f"listed {sum(o.truth_listed for o in wrong):3d} sure {len(sure) / len(outcomes):4.0%} | "
        f"offset p50 {np.percentile(error, 50):5.1f} p95 {np.percentile(error, 95):5.1f} | "
        f"middle bias {np.median(middle):5.1f} p50 {np.percentile(abs(middle), 50):5.1f} "
        f"p95 {np.percentile(abs(middle), 95):5.1f} ms | "
        f"half frame {np.mean(half) if half else np.nan:4.0%} of {len(half):3d} | "
        f"in 95 %: {covered:5.1%} middle {covered_middle:5.1%}"
    )


def report(outcomes: Sequence[Outcome]) -> None:
    groups: list[tuple[str, Callable[[Outcome], bool]]] = [
        ("all", lambda o: True),
        ("8 strokes or more", lambda o: o.case.common >= 8),
        ("30 fps or less", lambda o: o.case.fps <= 30.0 and o.case.factor == 1.0),
        ("60 fps", lambda o: o.case.fps == 60.0),
        ("slow motion", lambda o: o.case.factor > 1.0),
    ]
    groups += [
        (tag, lambda o, tag=tag: tag in o.case.tags)
        for tag in ("shake", "walkers", "rests", "rate change", "half strokes", "talk", "music")
    ]
    for kind in KINDS:
        for source in ("position", "force alone"):
            of = [o for o in outcomes if o.kind == kind and source in o.case.tags]
            for name, wanted in groups:
                summarise(f"{kind}, {source}, {name}", [o for o in of if wanted(o)])


def main() -> None:
    parser = argparse.ArgumentParser()
    parser.add_argument("--first", type=int, default=0)
    parser.add_argument("--clips", type=int, default=60)
    parser.add_argument("--cases", type=int, default=9)
    parser.add_argument("--cache", type=Path)
    options = parser.parse_args()
    outcomes = []
    for seed in range(options.first, options.first + options.clips):
        clip = cached_clip(seed, options.cache)
        try:
            motion = clip.meter.signal()
        except MotionError as error:
            print(f"clip {seed}: {error}")
            motion = None
        for number in range(options.cases):
            case = draw_case(clip, motion, number)
            if case.common < 2:
                continue
            outcomes += [judge(case, k) for k in KINDS if motion is not None or k == "sound"]
    report(outcomes)
    took = [o.took_s for o in outcomes]
    print(f"{len(outcomes) // 3} submissions; matching takes {np.median(took):.2f} s each")


if __name__ == "__main__":
    main()
