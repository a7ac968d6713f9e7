"""How often the intervals of a comparison hold what they should: 95 % is promised.

python -m tests.benchmarks.comparison_intervals [ROUNDS]

Strokes follow each other by laws the intervals know nothing of: first and second order, and slow
wander of a share of their variance (tests/helpers/dependent.py). Then whole tables of measures that
go together in part, with nothing changed: how often does one of them say "more"?
"""

from __future__ import annotations

import sys
from collections.abc import Iterable

import numpy as np
from scipy import stats

from analysis.comparing.mean_error import FEW, WANDER, changes_slowly
from analysis.comparing.variation import (
    MeasureRow,
    judge_together,
    means_apart,
    one_apart,
    single_stroke,
    two_strokes,
)
from tests.helpers.dependent import KINDS, rows

COUNTS = ((5, 5), (8, 8), (12, 12), (20, 20), (40, 40), (80, 80), (12, 40))
MEASURES, COMMON = 14, 4  # a table's measures, and what moves several of them at once


def held(kind: str, sizes: tuple[int, int], rounds: int, scale: float = 1.0) -> tuple[float, ...]:
    """Shares: by the strokes alone, it held; held or was said to be doubtful; with wander; both."""
    rng = np.random.default_rng([*sizes, KINDS.index(kind)])
    left, right = (rows(kind, rounds, n, rng) for n in sizes)
    told = []
    for one, other in zip(left, scale * right, strict=True):
        plain = not means_apart(one, other).interval.beyond_none
        wide = not means_apart(one, other, WANDER).interval.beyond_none
        doubtful = min(sizes) < FEW or changes_slowly(one) or changes_slowly(other)
        told.append((plain, plain or doubtful, wide, wide or doubtful))
    return tuple(float(share) for share in np.mean(told, axis=0))


def width(sizes: tuple[int, int], rounds: int, wander: float) -> float:
    """Middle width of the interval of unrelated strokes, in standard deviations of a stroke."""
    rng = np.random.default_rng(1)
    sides = (rows("unrelated", rounds, n, rng) for n in sizes)
    found = [means_apart(a, b, wander).interval for a, b in zip(*sides, strict=True)]
    return float(np.median([each.high - each.low for each in found]))


def table(kind: str, sizes: tuple[int, int], rng: np.random.Generator) -> tuple[MeasureRow, ...]:
    """A table of measures in which nothing changed."""
    load = np.random.default_rng(5).normal(size=(MEASURES, COMMON))
    load *= 0.8 / np.linalg.norm(load, axis=1, keepdims=True)
    sides = [load @ rows(kind, COMMON, n, rng) + 0.6 * rows(kind, MEASURES, n, rng) for n in sizes]
    return judge_together([(str(i), sides[0][i], sides[1][i]) for i in range(MEASURES)])


def tables_that_say_more(kind: str, sizes: tuple[int, int], rounds: int) -> tuple[float, float]:
    """Share of tables with at least one "more", and with one that is no hint."""
    rng = np.random.default_rng(7)
    any_, sure = 0, 0
    for _ in range(rounds):
        more = [row for row in table(kind, sizes, rng) if row.verdict == "more"]
        any_ += bool(more)
        sure += any(not row.hint for row in more)
    return any_ / rounds, sure / rounds


def single_held(kind: str, count: int, rounds: int) -> tuple[float, ...]:
    """Share of prediction intervals that hold: one stroke, with wander, two of one piece."""
    rng = np.random.default_rng([count, KINDS.index(kind), 3])
    one = wide = two = 0
    news = rows(kind, rounds, 1, rng)[:, 0]
    for values, new in zip(rows(kind, rounds, count + 2, rng), news, strict=True):
        one += not single_stroke(values[:count], new).beyond_none
        wide += not one_apart(values[:count], new, WANDER).interval.beyond_none
        i, j = rng.choice(count + 2, 2, replace=False)
        two += not two_strokes(np.delete(values, (i, j)), values[i], values[j]).beyond_none
    return one / rounds, wide / rounds, two / rounds


def by_scipy(sizes: tuple[int, int], method: str, rounds: int) -> float:
    """Share of intervals of scipy.stats.bootstrap that hold, unrelated strokes."""
    rng = np.random.default_rng(2)
    hits = 0
    for _ in range(rounds):
        found = stats.bootstrap(
            tuple(rng.normal(size=n) for n in sizes),
            lambda a, b, axis: a.mean(axis=axis) - b.mean(axis=axis),
            n_resamples=999,
            method=method,
        ).confidence_interval
        hits += found.low <= 0.0 <= found.high
    return hits / rounds


def line(name: str, cells: Iterable[str]) -> None:
    """Print one row of a table."""
    print(f"{name:24s}" + "".join(f"{cell:>20s}" for cell in cells), flush=True)


def main(rounds: int) -> None:
    """Print all tables."""
    chance = 200 * (0.95 * 0.05 / rounds) ** 0.5
    print(f"Means, held %, 95 promised (chance of this run ± {chance:.1f}):")
    print("by strokes alone / that or doubtful / told, with wander / that or doubtful")
    for scale in (1.0, 3.0):
        line(f"spreads 1 : {scale:.0f}", (f"{a} and {b}" for a, b in COUNTS))
        for kind in KINDS:
            cells = (held(kind, sizes, rounds, scale) for sizes in COUNTS)
            line(kind, (" / ".join(f"{100 * share:.0f}" for share in cell) for cell in cells))
    line("width", (f"{width(n, rounds, 0.0):.2f} / {width(n, rounds, WANDER):.2f}" for n in COUNTS))
    print('\nTables in which nothing changed, %: any "more" / one that is no hint')
    sizes_of_tables = ((12, 12), (20, 20), (40, 40), (12, 40))
    line("", (f"{a} and {b}" for a, b in sizes_of_tables))
    for kind in KINDS:
        shares = (tables_that_say_more(kind, sizes, rounds // 5) for sizes in sizes_of_tables)
        line(kind, (f"{100 * a:.0f} / {100 * b:.1f}" for a, b in shares))
    print("\nOne stroke against n / told, with wander / two of one piece by n others, held %")
    line("", (str(n) for n in (5, 8, 12, 20, 40)))
    for kind in KINDS:
        found = (single_held(kind, n, rounds) for n in (5, 8, 12, 20, 40))
        line(kind, (" / ".join(f"{100 * a:.0f}" for a in cell) for cell in found))
    for method in ("percentile", "BCa"):
        print(f"8 and 20, unrelated, scipy {method}: {by_scipy((8, 20), method, 300):.3f}")


if __name__ == "__main__":
    main(int(sys.argv[1]) if sys.argv[1:] else 1000)
