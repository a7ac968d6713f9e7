"""How often the intervals of a comparison cover what they should: 95 % is promised.

python -m tests.benchmarks.comparison_intervals
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from scipy import stats

from analysis.comparing.variation import difference_of_means, single_stroke, two_strokes

ROUNDS = 4000
Draw = Callable[[int], np.ndarray]


def covered(draw: Draw, left_n: int, right_n: int) -> float:
    """Share of intervals of a difference of means that hold the true one, 0."""
    hits = sum(
        not difference_of_means(draw(left_n), draw(right_n)).beyond_none for _ in range(ROUNDS)
    )
    return hits / ROUNDS


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


def main() -> None:
    rng = np.random.default_rng(11)

    def normal(n: int) -> np.ndarray:
        return rng.normal(500.0, 15.0, n)

    def skewed(n: int) -> np.ndarray:
        return rng.gamma(2.0, 10.0, n)

    def alike(n: int) -> np.ndarray:
        noise, values = rng.normal(size=n + 40), np.zeros(n + 40)
        for k in range(1, n + 40):
            values[k] = 0.4 * values[k - 1] + noise[k]
        return values[40:]

    error = (0.95 * 0.05 / ROUNDS) ** 0.5
    print(f"promised 0.950, chance of this run ± {2 * error:.3f}")
    for name, draw in (("normal", normal), ("skewed", skewed), ("neighbours alike 0.4", alike)):
        for left_n, right_n in ((5, 5), (8, 20), (20, 20), (60, 60)):
            share = covered(draw, left_n, right_n)
            print(f"means of {left_n} and {right_n}, {name:21s}: {share:.3f}")
    for method in ("percentile", "BCa"):
        share = covered_by_scipy(normal, 8, 20, method, 600)
        print(f"means of 8 and 20, normal, scipy {method}: {share:.3f} (± 0.02)")
    for n in (5, 12, 40):
        one = np.mean(
            [not single_stroke(normal(n), float(normal(1)[0])).beyond_none for _ in range(ROUNDS)]
        )
        two = np.mean([not two_strokes(normal(n), *normal(2)).beyond_none for _ in range(ROUNDS)])
        print(f"one stroke against {n}: {one:.3f}; two strokes by {n} others: {two:.3f}")


if __name__ == "__main__":
    main()
