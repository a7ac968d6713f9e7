"""False findings AT the limits, and on prescribed work; what is still found beyond them.

Run: python -m tests.benchmarks.findings_limits [pieces of each kind]
"""

from __future__ import annotations

import sys
from collections import Counter
from collections.abc import Callable, Iterable
from dataclasses import replace

from analysis.findings.find import find
from analysis.force.piece import analyse
from tests.benchmarks.limits_generator import PRESCRIBED, Rowing, prescribed, row, steady


def faults_of(how: Rowing, seed: int) -> tuple[str, ...]:
    """Codes of the faults raised in a piece."""
    return tuple(f.code for f in find(analyse(row(how, seed))) if not f.good)


def counted(make: Callable[[int], Rowing], seeds: Iterable[int]) -> tuple[int, Counter[str]]:
    """How many pieces were rowed, and how often each fault was raised."""
    seen: Counter[str] = Counter()
    pieces = 0
    for seed in seeds:
        seen.update(faults_of(make(seed), seed))
        pieces += 1
    return pieces, seen


def said(name: str, found: tuple[int, Counter[str]]) -> None:
    """Print one line: how many false findings a piece, and which."""
    pieces, seen = found
    shares = ", ".join(f"{code} {100 * n / pieces:.0f} %" for code, n in seen.most_common())
    print(f"{name:44s}{sum(seen.values()) / pieces:6.3f} a piece   {shares}", flush=True)


def main(count: int) -> None:
    """Print all tables."""
    print(f"{count} pieces of each kind; false findings")
    said("steady, at the limits", counted(steady, range(count * 4)))
    for name in PRESCRIBED:
        said(name, counted(lambda seed, name=name: prescribed(name, seed), range(count)))
    for spread in (0.034, 0.040, 0.045, 0.048, 0.06, 0.08, 0.10):
        make = lambda seed, s=spread: replace(steady(seed), spread=s, loss=0.0)  # noqa: E731
        said(f"spread {100 * spread:.1f} %", counted(make, range(count)))
    for halfway in (0.48, 0.49, 0.50, 0.51, 0.52, 0.54, 0.56, 0.60):
        make = lambda seed, h=halfway: replace(steady(seed), halfway=h)  # noqa: E731
        said(f"half way home at {100 * halfway:.0f} %", counted(make, range(count)))
    for peak in (0.25, 0.28, 0.30, 0.32, 0.35, 0.40, 0.45):
        make = lambda seed, p=peak: replace(steady(seed), peak=p)  # noqa: E731
        said(f"peak at {100 * peak:.0f} %", counted(make, range(count)))
    for loss in (0.0, 0.05, 0.08, 0.12, 0.2, 0.3):
        make = lambda seed, x=loss: replace(steady(seed), loss=x)  # noqa: E731
        said(f"pressure lost {100 * loss:.0f} %", counted(make, range(count)))


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 100)
