"""Force curves of single strokes: a row a stroke, a column a stroke, or the samples of one.

Such a table has no clock that goes on from stroke to stroke. Each curve is put by itself, with rest
around it and a silence to the next, so that it is cut and measured as a stroke is; how long it was
from one to the next is not known, and nobody is told.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Final

import numpy as np

from analysis.force.columns import FORCE_WORDS, SIDES, TIME_UNITS, Guess, words_and_unit
from analysis.force.decoding import TextHead
from analysis.force.delimited import Layout, split
from analysis.force.notation import to_number
from analysis.force.trace import FloatArray, TraceError

MOST_BYTES: Final = 32 * 2**20
MOST_STROKES: Final = 20_000
FEWEST_SAMPLES: Final = 12  # of a curve
MOST_SAMPLES: Final = 2000
SHARE: Final = 0.9  # of rows or columns that have to look like a stroke
# A stroke begins and ends below this share of its peak, and is above half of it once.
ENDS: Final = 0.45
ROUGH: Final = 0.25
# Put around each: rest, and a silence that nothing reaches over.
REST_S: Final = 0.5
APART_S: Final = 5.0
_EVEN: Final = 0.05
_STEMS: Final = FORCE_WORDS | {
    "", "stroke", "strokes", "schlag", "zug", "sample", "samples", "s", "n", "p", "point", "value",
    "curve", "column", "col", "y",
}  # fmt: skip
_MEANS: Final = {"mean", "average", "avg", "sd", "std", "mittel", "mittelwert", "median"}
_UNIT: Final = re.compile(
    r"[\[(]\s*(N|kN|daN|kgf|kp|lbf)\s*[\])]|(?:_|\bin\s|\bforce\s)(N|n|kN|daN|kgf|lbf)\b"
)


@dataclass(frozen=True)
class SingleStrokes:
    """Curves found in a table.

    Attributes
    ----------
    curves : samples of each stroke, in the unit of the file
    layout : what stands in for the table's own: one column, the force
    guess : unit and seconds between samples, where the file says them
    """

    curves: tuple[FloatArray, ...]
    layout: Layout
    guess: Guess

    def samples(self, interval_s: float, factor: float) -> tuple[FloatArray, FloatArray]:
        """Times, s, and force, N, of all curves with rest and silence between them."""
        rest = np.zeros(max(2, round(REST_S / interval_s)))
        times, forces, start = [], [], 0.0
        for curve in self.curves:
            force = np.concatenate((rest, factor * curve, rest))
            times.append(start + interval_s * np.arange(len(force)))
            forces.append(force)
            start = float(times[-1][-1]) + APART_S
        return np.concatenate(times), np.concatenate(forces)

    @property
    def said(self) -> str:
        """What the coach is told of them."""
        many = f"{len(self.curves)} single strokes" if len(self.curves) > 1 else "a single stroke"
        return (
            f"These are samples of {many} without the time between strokes: stroke rate, recovery "
            "and rhythm are not known, and a film cannot be lined up with them."
        )


def find_single_strokes(path: Path, head: TextHead, layout: Layout) -> SingleStrokes | None:
    """Find curves of single strokes in a table; None where it is something else."""
    wide = len(layout.columns) >= FEWEST_SAMPLES
    short = head.whole and len(layout.rows) <= MOST_SAMPLES
    if head.size > MOST_BYTES or not (wide or short):
        return None
    lines = _lines(path, head)
    if lines is None:
        return None
    rows = [split(line, layout.delimiter) for line in lines if line.strip()]
    found = _by_rows(rows, layout) if wide else None
    return found or (_by_columns(rows, layout) if short else None)


def _lines(path: Path, head: TextHead) -> Sequence[str] | None:
    if head.whole:
        return head.lines
    try:
        with path.open(encoding=head.encoding, errors="replace") as file:
            lines = file.read().splitlines()
    except OSError:
        return None
    return lines if len(lines) <= MOST_STROKES else None


def _by_rows(rows: list[list[str]], layout: Layout) -> SingleStrokes | None:
    """A row a stroke: each row rises once and falls once."""
    numbers = [np.array([to_number(c, layout.decimal) for c in row]) for row in rows]
    numbers = [n for n in numbers if np.isfinite(n).sum() >= FEWEST_SAMPLES]
    names = [
        row for row in rows if sum(map(bool, row)) >= FEWEST_SAMPLES and _is_names(row, layout)
    ]
    if not numbers or not all(_stem(name) in _STEMS or _is_times(name) for name in _flat(names)):
        return None
    interval = None
    if len(numbers) > 1 and _is_axis(_inner(numbers[0])):
        interval, numbers = _interval(_inner(numbers[0])), numbers[1:]
    elif names:
        axis = np.array([to_number(c.rstrip("s "), layout.decimal) for c in names[0]])
        interval = _interval(_inner(axis)) if _is_axis(_inner(axis)) else None
    skip = _labels(numbers)
    curves = [_inner(n[skip:]) for n in numbers]
    return _made(curves, layout, _flat(rows[: len(rows) - len(numbers)]), interval, "row")


def _by_columns(rows: list[list[str]], layout: Layout) -> SingleStrokes | None:
    """A column a stroke, with or without a clock before them; or the samples of one."""
    table = np.array([[*map(float, _numbers(row, layout))] for row in layout.rows])
    if table.ndim != 2 or len(table) < FEWEST_SAMPLES:
        return None
    columns = [c for c in layout.numeric if layout.columns[c].strip().lower() not in _MEANS]
    first = _inner(table[:, columns[0]])
    clock = _is_axis(first) if len(columns) > 1 else False
    interval = _interval(first) if clock else None
    if clock:
        unit = words_and_unit(layout.columns[columns[0]], TIME_UNITS)[1]
        if layout.has_header and unit in ("ms", "us"):
            interval = _interval(first * (0.001 if unit == "ms" else 1e-6))
        columns = columns[1:]
    stems = {_stem(layout.columns[c]) for c in columns} if layout.has_header else {""}
    if (len(columns) == 1 and clock) or len(stems) > 1 or stems & SIDES:
        return None
    if layout.has_header and not all(_in_stems(stem) for stem in stems):
        return None
    if len(columns) == 2 and not layout.has_header:
        return None
    curves = [_inner(table[:, c]) for c in columns]
    above = _flat(rows[: len(rows) - len(layout.rows)])
    return _made(curves, layout, [*above, *layout.preamble], interval, "column")


def _made(
    curves: list[FloatArray],
    layout: Layout,
    said: Sequence[str],
    interval_s: float | None,
    way: str,
) -> SingleStrokes | None:
    good = [curve for curve in curves if _is_stroke(curve)]
    if not good or len(good) < SHARE * len(curves) or len(good) > MOST_STROKES:
        return None
    units = Counter(_named_unit(text) for text in said)
    units.pop("", None)
    unit = units.most_common(1)[0][0] if len(units) == 1 else None
    lengths = {len(curve) for curve in good}
    long = f", {lengths.pop()} samples each" if len(lengths) == 1 else ""
    name = f"force, a {way} a stroke{long}" if len(curves) > 1 else "force of one stroke"
    cells = tuple((f"{value:g}",) for value in good[0][:40])
    stand_in = replace(
        layout, has_header=True, columns=(name,), numeric=(0,), rows=cells, preamble=()
    )
    guess = Guess(force_column=0, force_unit=unit, interval_s=interval_s)
    return SingleStrokes(tuple(good), stand_in, guess)


def _is_stroke(curve: FloatArray) -> bool:
    if not FEWEST_SAMPLES <= len(curve) <= MOST_SAMPLES or not np.isfinite(curve).all():
        return False
    peak = float(curve.max())
    if peak <= 0.0 or max(curve[0], curve[-1]) > ENDS * peak or curve.min() < -0.2 * peak:
        return False
    above = curve > 0.5 * peak
    once = int(np.abs(np.diff(above.astype(np.int8))).sum()) == 2 and int(above.sum()) >= 3
    return once and float(np.abs(np.diff(curve, 2)).mean()) < ROUGH * peak


def _inner(values: FloatArray) -> FloatArray:
    """Values from the first that is one to the last."""
    there = np.flatnonzero(np.isfinite(values))
    return values[there[0] : there[-1] + 1] if len(there) else values[:0]


def _labels(numbers: list[FloatArray]) -> int:
    """How many cells before each curve count strokes."""
    first = np.array([n[0] for n in numbers])
    counts = len(first) > 2 and bool((np.diff(first) == 1.0).all())
    return 1 if counts or np.isnan(first).all() else 0


def _is_axis(values: FloatArray) -> bool:
    if len(values) < FEWEST_SAMPLES or not np.isfinite(values).all():
        return False
    steps = np.diff(values)
    middle = float(np.median(steps))
    return middle > 0.0 and bool((np.abs(steps - middle) <= _EVEN * middle).all())


def _interval(axis: FloatArray) -> float | None:
    """Seconds between samples, where an axis can be nothing else: counts and percents are none."""
    step = float(np.median(np.diff(axis)))
    return step if 0.001 <= step <= 0.2 else None


def _numbers(row: Sequence[str], layout: Layout) -> list[float]:
    cells = [row[c] if c < len(row) else "" for c in range(len(layout.columns))]
    return [to_number(cell, layout.decimal) for cell in cells]


def _is_names(row: Sequence[str], layout: Layout) -> bool:
    return sum(bool(c) and np.isnan(to_number(c, layout.decimal)) for c in row) > 0.5 * len(row)


def _is_times(name: str) -> bool:
    return re.fullmatch(r"[\d.,]+\s*(s|ms|%)?", name.strip()) is not None


def _flat(rows: Sequence[Sequence[str]]) -> list[str]:
    return [cell for row in rows for cell in row]


def _stem(name: str) -> str:
    """A name without its figures and its unit."""
    bare = re.sub(r"[\[(][^\[\]()]*[\])]", "", name.lower())
    words = re.sub(r"[\d_#.:/-]+", " ", bare).split()
    return " ".join(w for w in words if w not in ("n", "kgf", "lbf") or len(words) == 1)


def _in_stems(stem: str) -> bool:
    return all(word in _STEMS | {"handle"} for word in stem.split() or [""])


def _named_unit(text: str) -> str:
    found = _UNIT.search(text)
    if found is None:
        return ""
    unit = found[1] or found[2]
    return {"n": "N", "kp": "kgf"}.get(unit, unit)


def too_far_apart(interval_s: float, name: str) -> TraceError:
    """What is said of rows that are no samples: a summary has a row a stroke."""
    return TraceError(
        f"{name} has rows {interval_s:.3g} s apart: a value a stroke, or a summary, and no curve "
        "of the force; ask for the samples of the force over time."
    )
