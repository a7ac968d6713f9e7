"""How well strokes, order of movement and findings of the body come out of noisy points.

Run as `python -m tests.benchmarks.body_accuracy [PIECES]`. Points of the simulated athlete get an
error that stays, one that returns with every stroke and jitter, in shares of stature.
"""

from __future__ import annotations

import sys
from collections import Counter

import numpy as np

from analysis.body.piece import BodyAnalysis, analyse_body
from analysis.body.track import POINTS
from analysis.body.view import View
from analysis.findings.find import find
from samples.faults import BODY_FAULTS
from samples.piece import Piece, PieceOptions, simulate_piece
from samples.rower import Build
from tests.helpers.followed import track_of

# What may be raised with a fault besides itself: it is there too.
COMPANIONS = {
    ("empty-lean-back", "early-loss"), ("thrown-catch", "rushed-recovery"),
    ("early-arms", "hands-off-level"), ("back-rounds", "seat-first"),
    ("back-rounds", "early-trunk"), ("seat-first", "early-trunk"),
}  # fmt: skip
# Bias and jitter, shares of stature, and whether handle and seat were followed by themselves:
# clean; two frames clicked; untouched; untouched with wrist and hip in place of handle and seat.
LEVELS = {
    "clean": (0.0, 0.0, True),
    "clicked": (0.006, 0.002, True),
    "untouched": (0.013, 0.003, True),
    "body alone": (0.013, 0.003, False),
}
STRENGTHS = (0.6, 1.0)


def rowed(fault: str, strength: float, seed: int) -> tuple[Piece, Build]:
    """A piece at a drawn rate by somebody of drawn stature."""
    rng = np.random.default_rng([seed, 9])
    build = Build(float(rng.uniform(1.62, 1.98)))
    faults = ((fault, strength),) if fault else ()
    rate = float(rng.uniform(18.0, 34.0))
    return simulate_piece(
        PieceOptions(
            seed=seed, rate_spm=rate, duration_s=14.0 * 60.0 / rate, faults=faults,
            pull_m=1.22 * build.stature_m / 1.84,
        )
    ), build  # fmt: skip


def seen(piece: Piece, build: Build, level: str, seed: int, known: bool = True) -> BodyAnalysis:
    """The body of a piece as a camera without perspective and a follower so good see it."""
    bias, noise, machine = LEVELS[level]
    track = track_of(piece, noise, bias, seed=seed, build=build)
    if not machine:
        track.xy_px[:, [POINTS.index("handle"), POINTS.index("seat")]] = np.nan
    stature_m = build.stature_m if known else None
    return analyse_body(track, View(perspective="none"), stature_m)


def print_findings(pieces: int) -> None:
    """Recall at each strength, and what is raised of sound rowing."""
    for level in LEVELS:
        hits: Counter[tuple[str, float]] = Counter()
        wrong: Counter[str] = Counter()
        right = 0
        for i in range(pieces):
            for fault in ("", *BODY_FAULTS):
                for strength in STRENGTHS if fault else (0.0,):
                    piece, build = rowed(fault, strength, i)
                    body = seen(piece, build, level, i)
                    raised = {f.code for f in find(None, None, body.series) if not f.good}
                    hits[fault, strength] += fault in raised
                    right += fault in raised
                    for code in raised - {fault}:
                        if (fault, code) not in COMPANIONS:
                            wrong[f"{code} in {fault or 'sound rowing'}"] += 1
        total = sum(wrong.values())
        clean_wrong = sum(n for said, n in wrong.items() if said.endswith("sound rowing"))
        print(f"{level}: false findings a sound piece {clean_wrong / pieces:.2f}")
        print(f"{level}: precision {right / max(right + total, 1):.3f}, wrong: {dict(wrong)}")
        for fault in BODY_FAULTS:
            said = "  ".join(f"{s:g}: {hits[fault, s] / pieces:.2f}" for s in STRENGTHS)
            print(f"  recall {fault:16s} {said}")


def print_turns(pieces: int) -> None:
    """How far turns are off, in frames."""
    for fps in (30.0, 60.0):
        off: list[float] = []
        alike: list[float] = []
        for i in range(pieces):
            piece, build = rowed("", 0.0, i)
            track = track_of(piece, 0.003, fps=fps, seed=i, build=build)
            strokes = analyse_body(track).strokes
            for mine, theirs in (("catch_s", "start_s"), ("finish_s", "far_s")):
                truth = np.array([getattr(c, theirs) for c in piece.cycles])
                own = np.array([getattr(s, mine) for s in strokes])
                each = own - truth[np.abs(truth - own[:, None]).argmin(axis=1)]
                off += (fps * np.abs(each)).tolist()
                alike += (fps * np.abs(each - each.mean())).tolist()
        p = np.percentile(off, (50, 95)), np.percentile(alike, (50, 95))
        print(
            f"turns at {fps:g} fps, frames p50/p95: {p[0][0]:.2f}/{p[0][1]:.2f}, "
            f"about their mean {p[1][0]:.2f}/{p[1][1]:.2f}"
        )


def main() -> None:
    """Print the tables."""
    pieces = int(sys.argv[1]) if len(sys.argv) > 1 else 10
    print_turns(pieces)
    print_findings(pieces)


if __name__ == "__main__":
    main()
