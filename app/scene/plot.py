"""A plot: what it spans, where values stand in it, its level lines, ticks and key."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from analysis.signals.signal import FloatArray
from app.scene.shapes import Anchor, Line, Measure, Point, Rect, Shape, Text

_STEPS: Final = (1.0, 2.0, 2.5, 5.0)


@dataclass(frozen=True)
class Scale:
    """Turns values into places, straight from one knot to the next.

    Attributes
    ----------
    knots : (value, place), two or more, values ascending
    clamps : what lies beyond the ends stands at them; else the outer stretches go on
    """

    knots: tuple[Point, ...]
    clamps: bool = False

    def at(self, value: float) -> float:
        """The place of a value."""
        inner = self.knots[1:-1]
        i = sum(value >= knot[0] for knot in inner)
        (v0, p0), (v1, p1) = self.knots[i], self.knots[i + 1]
        share = (value - v0) / (v1 - v0)
        if self.clamps:
            share = min(max(share, 0.0), 1.0)
        return p0 + share * (p1 - p0)

    def places(self, values: FloatArray) -> FloatArray:
        """The places of many values at once."""
        at = np.array(self.knots)
        i = np.searchsorted(at[1:-1, 0], values, side="right")
        (v0, p0), (v1, p1) = at[i].T, at[i + 1].T
        share = (values - v0) / (v1 - v0)
        if self.clamps:
            share = np.clip(share, 0.0, 1.0)
        return np.asarray(p0 + share * (p1 - p0), dtype=np.float64)

    def value(self, place: float) -> float:
        """The value that stands at a place; places ascend or descend all along."""
        ends = tuple(sorted((p, v) for v, p in self.knots))
        return Scale(ends, self.clamps).at(place)


@dataclass(frozen=True)
class Plot:
    """The box of a plot and its two scales; places are in the unit of the shapes."""

    left: float
    top: float
    right: float
    bottom: float
    x: Scale
    y: Scale

    def points(self, along: FloatArray, values: FloatArray) -> tuple[Point, ...]:
        """Where a curve runs."""
        places = self.x.places(along).tolist(), self.y.places(values).tolist()
        return tuple(zip(*places, strict=True))


@dataclass(frozen=True)
class Pen:
    """How a line is drawn: its width, and its dashes in widths of the line."""

    width: float
    dash: tuple[float, ...] = ()

    def line(self, points: tuple[Point, ...], ink: str, bold: float = 1.0) -> Line:
        """A line through points, so much bolder."""
        width = self.width * bold
        return Line(points, ink, width, tuple(d * width for d in self.dash))


@dataclass(frozen=True)
class Entry:
    """One line of a key: an ink, a pen, words. A filled sample where it is an area."""

    ink: str
    words: str
    pen: Pen = Pen(1.0)
    filled: bool = False


@dataclass(frozen=True)
class Letters:
    """How words of a plot are written: size, ink, and how wide the painter makes them."""

    size: float
    measure: Measure
    ink: str = "quiet"
    halo: str = ""
    halo_width: float = 0.0

    def text(self, x: float, y: float, words: str, anchor: Anchor = "start", ink: str = "") -> Text:
        """Words on their baseline."""
        ink = ink or self.ink
        return Text(x, y, words, self.size, ink, anchor, False, self.halo, self.halo_width)

    def wide(self, words: str) -> float:
        """How wide words are."""
        return self.measure(words, self.size, False)


def levels(low: float, high: float, most: int = 5) -> list[float]:
    """Round values between two, `most` of them at the most."""
    span = max(high - low, 1e-9)
    rough = span / most
    power = 10.0 ** np.floor(np.log10(rough))
    step = next(s * power for s in (*_STEPS, 10.0) if s * power >= rough * (1 - 1e-9))
    first = np.ceil(low / step - 1e-9) * step
    count = int(np.floor((high - first) / step + 1e-9)) + 1
    return [float(round(first + i * step, 10)) for i in range(count)]


def level_lines(plot: Plot, values: Sequence[float], width: float = 1.0) -> list[Shape]:
    """Level lines across the plot."""
    return [
        Line(((plot.left, plot.y.at(v)), (plot.right, plot.y.at(v))), "rule", width) for v in values
    ]


def level_words(plot: Plot, words: dict[float, str], letters: Letters, gap: float) -> list[Shape]:
    """What the levels are, left of the plot."""
    return [
        letters.text(plot.left - gap, plot.y.at(v) + 0.36 * letters.size, said, "end")
        for v, said in words.items()
    ]


def moment(
    plot: Plot, along: float, words: str, letters: Letters, width: float, room: float
) -> list[Shape]:
    """An upright line at a place on the axis, named below.

    Parameters
    ----------
    room : where the picture ends at the right
    """
    x = plot.x.at(along)
    left = min(max(x - letters.wide(words) / 2, 0.0), room - 4.0 * letters.size)
    below = letters.text(left, plot.bottom + 1.4 * letters.size, words)
    return [Line(((x, plot.top), (x, plot.bottom)), "rule", width), below]


def key(
    entries: Sequence[Entry], left: float, right: float, y: float, letters: Letters,
    bold: float = 1.0, words_ink: str = "quiet",
) -> tuple[list[Shape], float]:  # fmt: skip
    """A sample of each line with its name, in as many rows as they need.

    Returns
    -------
    The shapes, and the baseline of the last row.
    """
    shapes: list[Shape] = []
    x, size = left, letters.size
    for entry in entries:
        words = cut(entry.words, right - left - 2.9 * size, letters.wide)
        long = 2.9 * size + letters.wide(words)
        if x > left and x + long > right:
            x, y = left, y + 1.6 * size
        sample = ((x, y - 0.36 * size), (x + 2.4 * size, y - 0.36 * size))
        if entry.filled:
            shapes.append(Rect(x, y - 0.76 * size, 2.4 * size, 0.8 * size, entry.ink))
        else:
            shapes.append(entry.pen.line(sample, entry.ink, bold))
        shapes.append(letters.text(x + 2.9 * size, y, words, ink=words_ink))
        x += long + 2.1 * size
    return shapes, y


def cut(words: str, room: float, wide: Callable[[str], float]) -> str:
    """Words no wider than a room, as `wide` measures them."""
    if len(words) < 2 or wide(words) <= room:
        return words
    kept, most = 0, len(words) - 2
    while kept < most:  # halved each time: to measure words is to lay out their letters
        tried = (kept + most + 1) // 2
        if wide(words[:tried].rstrip() + "…") <= room:
            kept = tried
        else:
            most = tried - 1
    return words[:kept].rstrip() + "…"


def runs_of(values: FloatArray) -> list[slice]:
    """Give the runs of two or more values that are known: what may be joined by a line."""
    edges = np.flatnonzero(np.diff(np.isfinite(values).astype(np.int8), prepend=0, append=0))
    pairs = zip(edges[::2].tolist(), edges[1::2].tolist(), strict=True)
    return [slice(first, end) for first, end in pairs if end - first > 1]
