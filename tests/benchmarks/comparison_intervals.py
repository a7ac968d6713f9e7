"""How often the intervals of a comparison cover what they should: 95 % is promised.

python -m tests.benchmarks.comparison_intervals [ROUNDS]

Strokes follow each other as a first-order autoregression in which each takes a share (rho) of what
the one before it was off; rho 0 are unrelated ones. "Skewed" has gamma noise of shape 2.
"""

from __future__ import annotations

import sys
from collections.abc import Callable
from itertools import pairwise

import numpy as np
from scipy import stats
from scipy.signal import lfilter

from analysis.comparing.alike import FEW, is_hint, resemblance
from analysis.comparing.variation import difference_of_means, single_stroke, two_strokes

COUNTS, RHOS = (5, 8, 12, 20, 40), (0.0, 0.3, 0.6)
BEFORE = 60  # strokes nobody looks at, until the start is forgotten
BINS = (0.0, 0.15, 0.3, 0.45, 0.6, 1.0)  # of what resemblance is seen
Draw = Callable[[int], np.ndarray]


class Rower:
    """Strokes of one kind, drawn as long a row as is asked for."""

    def __init__(self, rho: float, skewed: bool, seed: int = 11) -> None:
        self._rho, self._skewed = rho, skewed
        self._rng = np.random.default_rng(seed)

    def __call__(self, count: int) -> np.ndarray:
        size = count + BEFORE
        noise = (
            self._rng.gamma(2.0, 1.0, size) - 2.0 if self._skewed else self._rng.normal(size=size)
        )
        return lfilter([1.0], [1.0, -self._rho], noise)[BEFORE:]

    def alone(self) -> float:
        """A stroke of the same rower on another day."""
        return float(self(1)[0])


def means_covered(draw: Draw, left_n: int, right_n: int, rounds: int) -> tuple[float, float, float]:
    """Share of intervals of a difference of means that hold the true one, 0; share told as hints
    and the middle width.
    """
    hits, hints, wide = 0, 0, []
    for _ in range(rounds):
        sides = draw(left_n), draw(right_n)
        found = difference_of_means(*sides)
        hits += not found.beyond_none
        hints += is_hint(*sides)
        wide.append(found.high - found.low)
    return hits / rounds, hints / rounds, float(np.median(wide))


def covered_by_scipy(draw: Draw, left_n: int, right_n: int, method: str, rounds: int) -> float:
    """The same of scipy.stats.bootstrap."""
    hits = 0
    for _ in range(rounds):
        found = stats.bootstrap(
            (draw(right_n), draw(left_n)),
            lambda a, b, axis: a.mean(axis=axis) - b.mean(axis=axis),
            n_resamples=999,
            method=method,
        ).confidence_interval
        hits += found.low <= 0.0 <= found.high
    return hits / rounds


def same_piece_covered(draw: Draw, others: int, rounds: int) -> float:
    """Two strokes anywhere in one piece, judged by its others."""
    rng, hits = np.random.default_rng(2), 0
    for _ in range(rounds):
        values = draw(others + 2)
        i, j = rng.choice(others + 2, 2, replace=False)
        hits += not two_strokes(np.delete(values, (i, j)), values[i], values[j]).beyond_none
    return hits / rounds


def print_means(rounds: int) -> None:
    """The table of means: for every kind of strokes and every number of them."""
    error = (0.95 * 0.05 / rounds) ** 0.5
    print(f"means of two recordings, promised 95 %, chance of this run ± {200 * error:.1f} %")
    print(
        "kind    rho   " + "".join(f"{f'{n} and {n}':>22s}" for n in COUNTS) + f"{'5 and 40':>22s}"
    )
    print("each: held the truth % / told as a hint % / middle width in standard deviations")
    for skewed in (False, True):
        for rho in RHOS:
            draw = Rower(rho, skewed)
            sd = (2.0**0.5 if skewed else 1.0) / (1.0 - rho**2) ** 0.5
            cells = []
            for left_n, right_n in (*((n, n) for n in COUNTS), (5, 40)):
                held, hints, wide = means_covered(draw, left_n, right_n, rounds)
                cells.append(f"{100 * held:5.1f} /{100 * hints:4.0f} /{wide / sd:5.2f}")
            kind = "skewed" if skewed else "normal"
            print(f"{kind:7s} {rho:.1f}   " + "".join(f"{cell:>22s}" for cell in cells))


def print_seen(rounds: int) -> None:
    """How often ranges hold by what the coach's tool can see: number, and how alike they look.

    Strokes of all `RHOS`, normal and skewed, equally often: what is true is not known to the tool.
    """
    names = [f"r {a:.2f}-{b:.2f}" for a, b in pairwise(BINS)]
    print("by what is seen: held the truth %, (share of cases %), * told as a hint")
    print(" " * 14 + "".join(f"{name:>18s}" for name in names))
    for counts in ((5, 5), (8, 8), (12, 12), (15, 15), (20, 20), (40, 40), (5, 40), (12, 40)):
        print_row(f"{counts[0]} and {counts[1]}", [_seen_means(d, counts) for d in _mix(rounds)])
    for n in COUNTS:
        print_row(f"one and {n}", [_seen_one(d, n) for d in _mix(rounds)])


def _mix(rounds: int) -> list[Rower]:
    kinds = [Rower(rho, skewed) for rho in RHOS for skewed in (False, True)]
    return [kind for kind in kinds for _ in range(rounds // len(kinds))]


def _seen_means(draw: Rower, counts: tuple[int, int]) -> tuple[float, bool, bool]:
    sides = draw(counts[0]), draw(counts[1])
    few = [values for values in sides if len(values) < FEW] or sides
    alike = max(resemblance(values) for values in few)
    return alike, not difference_of_means(*sides).beyond_none, is_hint(*sides)


def _seen_one(draw: Rower, count: int) -> tuple[float, bool, bool]:
    many = draw(count)
    held = not single_stroke(many, draw.alone()).beyond_none
    return resemblance(many), held, is_hint(many)


def print_row(name: str, cases: list[tuple[float, bool, bool]]) -> None:
    """One line of `print_seen`."""
    alike, held, hint = (np.array(column) for column in zip(*cases, strict=True))
    cells = []
    for a, b in pairwise(BINS):
        here = (alike >= a) & (alike < b)
        if here.sum() < 50:
            cells.append("-")
            continue
        star = "*" if hint[here].mean() > 0.5 else " "
        cells.append(f"{100 * held[here].mean():.1f} ({100 * here.mean():.0f}){star}")
    sure = f"{100 * held[~hint].mean():.1f}" if (~hint).any() else "-"
    print(f"{name:14s}" + "".join(f"{cell:>18s}" for cell in cells) + f"   not hints: {sure}")


def main(rounds: int) -> None:
    print_means(rounds)
    print_seen(3 * rounds)
    for method in ("percentile", "BCa"):
        share = covered_by_scipy(Rower(0.0, False), 8, 20, method, 600)
        print(f"means of 8 and 20, normal, rho 0, scipy {method}: {share:.3f} (± 0.02)")
    for rho in RHOS:
        draw = Rower(rho, False)
        for n in COUNTS:
            one = np.mean(
                [not single_stroke(draw(n), draw.alone()).beyond_none for _ in range(rounds)]
            )
            two = same_piece_covered(draw, n, rounds)
            print(f"rho {rho}: one stroke against {n} {one:.3f}; two of a piece by {n} {two:.3f}")


if __name__ == "__main__":
    main(int(sys.argv[1]) if sys.argv[1:] else 2000)
