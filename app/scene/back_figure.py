"""How the estimated load on the low back ran over a piece, as a small curve."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

import numpy as np

from app.scene.plot import Letters, Plot, Scale, level_lines, level_words, levels
from app.scene.shapes import Area, Circle, Drawing, Line, Measure, Shape

if TYPE_CHECKING:
    from analysis.body.back_trend import BackTrend

# What is written; a page of another language brings its own.
WORDS: Final[Mapping[str, str]] = {
    "title": "Load on the low back, estimated: a trend",
    "axis": "% of the first third",
    "strokes": "stroke",
    "rise": (
        "Over these {count} strokes the estimated load on the low back rose by {change} % "
        "(95 % interval {low} to {high} %)."
    ),
    "fall": (
        "Over these {count} strokes the estimated load on the low back fell by {change} % "
        "(95 % interval {low} to {high} %)."
    ),
    "unsure": (
        "Over these {count} strokes no change of the estimated load on the low back can be told "
        "(95 % interval {low} to {high} %)."
    ),
}
# A piece whose load hardly changes is drawn flat: never on a narrower scale than this, percent.
_LEAST: Final = (80.0, 120.0)
_TOP, _HIGH = 4.2, 7.0  # where the plot begins, and its height, in sizes of its letters


@dataclass(frozen=True)
class BackLook:
    """How wide the figure is and how large its letters are, points."""

    width: float
    letter: float


def back_drawing(
    trend: BackTrend, look: BackLook, measure: Measure, words: Mapping[str, str] = WORDS
) -> Drawing:
    """Draw it: a dot a stroke, the straight trend, and how far that may lie elsewhere.

    Parameters
    ----------
    trend : one whose `change` is known
    measure : of the painter its words are written by
    """
    size = look.letter
    letters = Letters(size, measure)
    values = 100.0 * np.asarray(trend.relative, dtype=np.float64)
    at = np.asarray(trend.strokes, dtype=np.float64) + 1.0
    wedge = _wedge(trend, at)
    reach = np.concatenate((values, wedge[1], wedge[2], _LEAST))
    plot = _plot(look, (at[0], at[-1]), (float(reach.min()), float(reach.max())), letters)
    marks = levels(float(reach.min()), float(reach.max()), 4)
    shapes: list[Shape] = [
        letters.text(0.8 * size, 1.5 * size, words["title"], ink="ink"),
        *level_lines(plot, marks, 0.07 * size),
        *level_words(plot, {v: f"{v:.0f}" for v in marks}, letters, 0.5 * size),
        *_curve(plot, at, values, wedge, size),
    ]
    low = plot.bottom + 1.5 * size
    shapes += [
        letters.text(plot.left, low, f"{words['strokes']} {at[0]:.0f}"),
        letters.text(plot.right, low, f"{at[-1]:.0f}", "end"),
        letters.text(0.8 * size, 3.1 * size, words["axis"]),
    ]
    return Drawing(look.width, low + 0.9 * size, tuple(shapes))


def drawing_height(letter: float) -> float:
    """How high the figure is, whatever it shows."""
    return (_TOP + _HIGH + 1.5 + 0.9) * letter


def back_words(trend: BackTrend, words: Mapping[str, str] = WORDS) -> str:
    """Say the trend with its interval, in one sentence."""
    change = trend.change
    if change is None:
        return ""
    kind = "unsure"
    if trend.is_sure:
        kind = "rise" if change.change > 0.0 else "fall"
    return words[kind].format(
        count=len(trend.strokes),
        change=_percent(abs(change.change)),
        low=_percent(change.low),
        high=_percent(change.high),
    )


def _percent(share: float) -> str:
    return f"{100.0 * share:.0f}".replace("-0", "0").replace("-", "\N{MINUS SIGN}")


def _wedge(
    trend: BackTrend, at: np.ndarray
) -> tuple[tuple[float, float], tuple[float, float], tuple[float, float]]:
    """The straight trend at first and last stroke, and its interval there; percent."""
    change = trend.change
    first = 100.0 * float(np.median(trend.relative))
    if change is None or len(at) < 2:
        return (first, first), (first, first), (first, first)
    usual = float(np.median(trend.compression_n)) / float(np.median(trend.relative))
    start = 100.0 * change.first / usual
    ends = [start * (1.0 + c) for c in (change.change, change.low, change.high)]
    return (start, ends[0]), (start, ends[1]), (start, ends[2])


def _plot(look: BackLook, x: tuple[float, float], y: tuple[float, float], letters: Letters) -> Plot:
    size = look.letter
    left = 1.3 * size + letters.wide("100")
    right, top = look.width - 1.2 * size, _TOP * size
    bottom = top + _HIGH * size
    far = x[1] if x[1] > x[0] else x[0] + 1.0
    return Plot(
        left, top, right, bottom,
        Scale(((x[0], left + 0.4 * size), (far, right - 0.4 * size))),
        Scale(((y[0], bottom), (y[1], top))),
    )  # fmt: skip


def _curve(
    plot: Plot,
    at: np.ndarray,
    values: np.ndarray,
    wedge: tuple[tuple[float, float], ...],
    size: float,
) -> list[Shape]:
    ends = np.array((at[0], at[-1]))
    middle, low, high = (plot.points(ends, np.array(side)) for side in wedge)
    shapes: list[Shape] = [
        Area((*low, *reversed(high)), "band"),
        Line(plot.points(at, values), "hair", 0.08 * size),
        Line(middle, "mean", 0.16 * size),
    ]
    shapes += [Circle(x, y, 0.22 * size, "own") for x, y in plot.points(at, values)]
    return shapes
