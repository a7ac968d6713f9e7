"""How far catches and finishes are off, for eight curves from formulas of their own.

Neither the simulated athlete's curves nor those of `strokes_generator`. Run

    python -m tests.benchmarks.catch_accuracy [strokes per piece]
"""

from __future__ import annotations

import sys
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from analysis.force.strokes import find_strokes
from analysis.force.trace import FloatArray, ForceTrace

HZ = (20.0, 25.0, 30.0, 50.0, 100.0, 200.0, 500.0)
NOISES = (0.0, 0.003, 0.005, 0.01, 0.03)
NEAR_S = 0.4


def _through(*points: tuple[float, float]) -> Callable[[FloatArray], FloatArray]:
    """A curve of straight lines through points of drive and share of the peak."""
    at, share = zip(*points, strict=True)
    return lambda x: np.interp(x, at, share)


def _hermite(*points: tuple[float, float]) -> Callable[[FloatArray], FloatArray]:
    """A smooth curve through points that rises and falls only where they do."""
    from scipy.interpolate import PchipInterpolator

    at, share = zip(*points, strict=True)
    curve = PchipInterpolator(at, share)
    return lambda x: np.asarray(curve(x))


def _beta(a: float, b: float) -> Callable[[FloatArray], FloatArray]:
    top = (a / (a + b)) ** a * (b / (a + b)) ** b
    return lambda x: x**a * (1.0 - x) ** b / top


# Share of the peak over the drive, 0-1.
CURVES: dict[str, Callable[[FloatArray], FloatArray]] = {
    "trapezoid": _through((0, 0), (0.18, 1), (0.62, 0.96), (1, 0)),
    "quick catch": _through((0, 0), (0.07, 0.82), (0.25, 1), (0.7, 0.7), (1, 0)),
    "lopsided sine": lambda x: np.sin(np.pi * x**0.62) ** 1.15,
    "early beta": _beta(1.3, 2.6),
    "full beta": _beta(0.55, 0.8),
    "slow build-up": _hermite((0, 0), (0.12, 0.08), (0.45, 1), (0.7, 0.8), (1, 0)),
    "two humps": _hermite((0, 0), (0.14, 0.85), (0.3, 0.7), (0.5, 1), (0.75, 0.75), (1, 0)),
    "faint finish": _through((0, 0), (0.15, 0.8), (0.3, 1), (0.6, 0.14), (1, 0.03)),
}


@dataclass(frozen=True)
class Drawn:
    """A piece and where its drives truly start and end, 5 % of each stroke's own peak."""

    trace: ForceTrace
    catch_s: FloatArray
    finish_s: FloatArray


def draw(name: str, hz: float, noise: float, seed: int, strokes: int = 60) -> Drawn:
    """Draw a piece at 24 strokes a minute, 650 N; each stroke's peak and length are its own.

    Parameters
    ----------
    noise : standard deviation of a sample, as a share of the peak
    """
    rng = np.random.default_rng(seed)
    x = np.linspace(0.0, 1.0, 4001)
    share = np.clip(CURVES[name](x), 0.0, None)
    share[[0, -1]] = 0.0
    share = share / share.max()
    over = np.flatnonzero(share >= 0.05)
    first, last = x[over[0]], x[over[-1]]
    start_s = 1.3 + np.cumsum(2.5 * rng.normal(1.0, 0.02, strokes))
    drive_s = 0.88 * rng.normal(1.0, 0.02, strokes)
    peak_n = 650.0 * rng.normal(1.0, 0.04, strokes)
    time_s = (np.arange(round((start_s[-1] + 3.5) * hz)) + rng.random()) / hz
    force_n = np.zeros(len(time_s))
    for start, drive, peak in zip(start_s, drive_s, peak_n, strict=True):
        place = (time_s - start) / drive
        force_n += peak * np.interp(place, x, share, left=0.0, right=0.0)
    force_n += rng.normal(0.0, noise * 650.0, len(time_s))
    trace = ForceTrace(time_s, force_n)
    return Drawn(trace, start_s + first * drive_s, start_s + last * drive_s)


@dataclass(frozen=True)
class Found:
    """Errors in seconds, found less true, and how many strokes had none near."""

    catch_s: FloatArray
    finish_s: FloatArray
    missed: int


def errors(drawn: Drawn) -> Found:
    """Cut a piece and pair what was found with what is true."""
    found = find_strokes(drawn.trace)
    catches = np.array([s.catch_s for s in found])
    finishes = np.array([s.finish_s for s in found])
    off, late = [], []
    for catch, finish in zip(drawn.catch_s, drawn.finish_s, strict=True):
        near = int(np.argmin(np.abs(catches - catch))) if len(catches) else -1
        if near >= 0 and abs(catches[near] - catch) < NEAR_S:
            off.append(catches[near] - catch)
            late.append(finishes[near] - finish)
    return Found(np.array(off), np.array(late), len(drawn.catch_s) - len(off))


def main() -> None:
    """Print p50 / p95 of the catch in ms, one line a curve and rate; then all curves together."""
    strokes = int(sys.argv[1]) if len(sys.argv) > 1 else 60
    print("catch, p50 / p95 ms".ljust(24), *(f"{noise:>12.1%}" for noise in NOISES))
    together: dict[tuple[float, float], list[FloatArray]] = {}
    ends: dict[tuple[float, float], list[FloatArray]] = {}
    for n, name in enumerate(CURVES):
        for hz in HZ:
            cells = []
            for noise in NOISES:
                found = errors(draw(name, hz, noise, 100 * n + int(hz), strokes))
                together.setdefault((hz, noise), []).append(found.catch_s)
                ends.setdefault((hz, noise), []).append(found.finish_s)
                cells.append(_cell(found.catch_s) + ("!" if found.missed else " "))
            print(f"{name:<15} {hz:4.0f} Hz", *cells)
    for title, all_of in (("catch", together), ("finish", ends)):
        for hz in HZ:
            cells = [_cell(np.concatenate(all_of[hz, noise])) + " " for noise in NOISES]
            print(f"all, {title:<10} {hz:4.0f} Hz", *cells)


def _cell(off_s: FloatArray) -> str:
    if len(off_s) == 0:
        return f"{'none':>11}"
    p50, p95 = 1e3 * np.percentile(np.abs(off_s), [50, 95])
    return f"{f'{p50:.1f} / {p95:.1f}':>11}"


if __name__ == "__main__":
    main()
