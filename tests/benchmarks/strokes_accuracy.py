"""How well catches and finishes are found: missed, extra, and the error of their times.

Run `python -m tests.benchmarks.strokes_accuracy [strokes per piece [noise ...]]`.
"""

from __future__ import annotations

import sys
import time
from dataclasses import dataclass

import numpy as np

from analysis.force.strokes import find_strokes
from analysis.force.trace import FloatArray, ForceTrace
from analysis.signals.stroke import Stroke
from tests.benchmarks.strokes_generator import TraceOptions, TruePull, draw_trace

NEAR_S = 0.35  # a found catch further than this from a true one is another stroke


@dataclass(frozen=True)
class Score:
    """Found against true. Errors are found minus true, s, over clean strokes."""

    true: int
    missed: int
    extra: int
    called_half: int  # whole strokes called half
    called_whole: int  # half strokes called whole
    catch_s: FloatArray
    finish_s: FloatArray
    pauses_wrong: int = 0


def score(found: tuple[Stroke, ...], true: tuple[TruePull, ...]) -> Score:
    """Pair found strokes with true ones by their catch."""
    catches = np.array([s.catch_s for s in found])
    taken: set[int] = set()
    catch_errors, finish_errors = [], []
    missed = called_half = called_whole = 0
    for pull in true:
        near = int(np.argmin(np.abs(catches - pull.catch_s))) if len(catches) else -1
        if near < 0 or abs(catches[near] - pull.catch_s) > NEAR_S or near in taken:
            missed += not pull.half
            continue
        taken.add(near)
        stroke = found[near]
        called_half += bool(stroke.remark) and not pull.half
        called_whole += not stroke.remark and pull.half
        if not stroke.remark and not pull.half:
            catch_errors.append(stroke.catch_s - pull.catch_s)
            finish_errors.append(stroke.finish_s - pull.finish_s)
    extra = sum(not s.remark for i, s in enumerate(found) if i not in taken)
    return Score(
        len(true),
        missed,
        extra,
        called_half,
        called_whole,
        np.array(catch_errors),
        np.array(finish_errors),
    )


def report(name: str, trace: ForceTrace, result: Score, took_s: float) -> None:
    """Print one line."""
    step = trace.interval_s
    catch, finish = np.abs(result.catch_s), np.abs(result.finish_s)
    p50, p95 = np.percentile(catch, [50, 95])
    f95 = np.percentile(finish, 95)
    print(
        f"{name:<44} n={result.true:5d} missed={result.missed} extra={result.extra} "
        f"whole>half={result.called_half} half>whole={result.called_whole} "
        f"catch ms p50={1e3 * p50:5.1f} p95={1e3 * p95:5.1f} "
        f"bias={1e3 * result.catch_s.mean():+5.1f} "
        f"samples p50={p50 / step:4.2f} p95={p95 / step:4.2f} | finish p95 ms={1e3 * f95:5.1f} "
        f"samples={f95 / step:4.2f} | {took_s:4.1f} s"
    )


def rowed_trace(
    rate_spm: float, hz: float, noise: float, seed: int, minutes: float
) -> tuple[ForceTrace, tuple[TruePull, ...]]:
    """Sample a piece of the simulated athlete: half strokes, pauses, drift, dropouts, noise."""
    from samples.piece import PieceOptions, simulate_piece

    count = int(rate_spm * minutes)
    piece = simulate_piece(
        PieceOptions(
            seed=seed,
            duration_s=60.0 * minutes,
            rate_spm=rate_spm,
            pauses=tuple((i, 8.0) for i in range(40, count - 5, 97)),
            half_strokes=tuple(range(25, count - 5, 31)),
        )
    )
    rng = np.random.default_rng(seed)
    time_s = np.arange(0.0, piece.time_s[-1], 1.0 / hz)
    time_s = np.sort(time_s + rng.normal(0.0, 0.1 / hz, len(time_s)))
    force_n = np.interp(time_s, piece.time_s, piece.force_n)
    peak_n = float(np.median([s.peak_n for s in piece.strokes]))
    force_n += 0.02 * peak_n * (np.sin(2 * np.pi * time_s / 300.0) + time_s / time_s[-1])
    force_n += rng.normal(0.0, noise * peak_n, len(time_s)) if noise else 0.0
    kept = (rng.random(len(time_s)) >= 0.01) & np.concatenate(([True], np.diff(time_s) > 0.0))
    # Cut after the last whole stroke: what was begun at the very end is none.
    ended = [s for s in piece.strokes if s.finish_s < piece.time_s[-1] - 0.4]
    kept &= time_s < ended[-1].finish_s + 0.3
    true = tuple(TruePull(s.catch_s, s.finish_s, s.kind == "half") for s in ended)
    return ForceTrace(time_s[kept], force_n[kept]), true


def drawn_trace(
    family: str, rate_spm: float, hz: float, noise: float, seed: int, count: int
) -> tuple[ForceTrace, tuple[TruePull, ...]]:
    """Draw a piece from formulas with everything at once that can go wrong."""
    return draw_trace(
        TraceOptions(
            seed=seed,
            strokes=count,
            rate_spm=rate_spm,
            hz=hz,
            noise=noise,
            drift=0.02,
            dropouts=0.01,
            jitter=0.1,
            pauses=count // 50,
            halves=count // 30,
            bumps=0.2,
            gives=0.2,
            family=family,
        )
    )


def main() -> None:
    """Print the table."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 1000
    noises = [float(a) for a in sys.argv[2:]] or [0.0, 0.01, 0.03]
    seed = 0
    for noise in noises:
        for hz in (50.0, 100.0, 200.0):
            for rate in (18.0, 28.0, 40.0):
                for family in ("beta", "cosine", "power", "sine", "rowed"):
                    seed += 1
                    if family == "rowed":
                        trace, true = rowed_trace(rate, hz, noise, seed, 1.03 * count / rate)
                    else:
                        trace, true = drawn_trace(family, rate, hz, noise, seed, count)
                    begun = time.perf_counter()
                    found = find_strokes(trace)
                    took_s = time.perf_counter() - begun
                    name = f"{family:<7} {noise:4.0%} {hz:4.0f} Hz {rate:3.0f} spm"
                    report(name, trace, score(found, true), took_s)


if __name__ == "__main__":
    main()
