"""A plot that stands for itself: curves with their axes, words and key, as one drawing."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from app.review.parts.curve_marks import CurveMark
from app.scene import curve_marks
from app.scene.curve_marks import CurveMarkLook
from app.scene.force_curve import Band, Curve, band_shapes, curve_shapes
from app.scene.plot import Letters, Plot, Scale, key, level_lines, level_words, levels
from app.scene.shapes import Circle, Drawing, Line, Measure, Shape, Text

_PAD = 0.7  # about everything, in sizes of the letters


@dataclass(frozen=True)
class Tick:
    """A place on the axis with its words, the second row of them below the first."""

    at: float
    words: str
    below: str = ""


@dataclass(frozen=True)
class Moment:
    """A place on the first curve that something is said about, with its number."""

    at: float
    words: str


@dataclass(frozen=True)
class Figure:
    """What a figure shows.

    Attributes
    ----------
    size : width and height
    letter : size of its letters; lines follow it
    curves : in the order they are drawn
    x, y : from where to where it reaches
    title : over the plot, bold, besides what the axis up is called
    key_above : the key stands over the plot, where a picture is low
    moments : numbered on the first curve
    """

    size: tuple[float, float]
    letter: float
    curves: Sequence[Curve]
    x: tuple[float, float]
    y: tuple[float, float]
    ticks: Sequence[Tick]
    x_words: str = ""
    y_words: str = ""
    title: str = ""
    band: Band | None = None
    marks: Sequence[CurveMark] = ()
    decimal: str = "."
    unit: str = ""  # said beside the levels, where the axis up has no words
    most_levels: int = 5
    key_above: bool = False
    moments: Sequence[Moment] = ()


@dataclass(frozen=True)
class LaidOut:
    """A figure as shapes, and where values stand in it."""

    drawing: Drawing
    plot: Plot


def drive_ticks(catch: str, finish: str) -> tuple[Tick, ...]:
    """The axis over a drive: percent, with catch and finish by name."""
    ends = {0: catch, 100: finish}
    return tuple(Tick(at, str(at), ends.get(at, "")) for at in (0, 25, 50, 75, 100))


def lay_out(figure: Figure, measure: Measure) -> LaidOut:
    """Place everything of a figure.

    Parameters
    ----------
    measure : of the painter its words are written by
    """
    letters = Letters(figure.letter, measure, "ink")
    values = levels(*figure.y, figure.most_levels)
    unit = f" {figure.unit}" if figure.unit else ""
    said = {value: _number(value, figure.decimal) + unit for value in values}
    head, top = _head(figure, letters)
    foot, bottom = _foot(figure, letters)
    size, pad = figure.letter, _PAD * figure.letter
    left = pad + max(letters.wide(words) for words in said.values()) + 0.6 * size
    halves = [_half(tick, letters) for tick in figure.ticks if tick.at == figure.x[1]]
    right = figure.size[0] - max([pad, *(half + 2.0 for half in halves)])
    x = Scale(((figure.x[0], left), (figure.x[1], right)))
    plot = Plot(left, top, right, bottom, x, Scale(((figure.y[0], bottom), (figure.y[1], top))))
    shapes = [*head, *foot, *level_lines(plot, values, 0.07 * size)]
    shapes += level_words(plot, said, letters, 0.6 * size)
    shapes += _axis(figure, plot, letters)
    shapes += _inside(figure, plot, measure)
    return LaidOut(Drawing(*figure.size, tuple(shapes)), plot)


def _head(figure: Figure, letters: Letters) -> tuple[list[Shape], float]:
    """Give what stands over the plot, and where that begins."""
    size, pad = figure.letter, _PAD * figure.letter
    shapes: list[Shape] = []
    y = pad
    if figure.key_above and _named(figure):
        shapes, end = _key(figure, letters, y + size)
        y = end + 0.7 * size
    for words, bold in ((figure.title, True), (figure.y_words, False)):
        if words:
            shapes.append(Text(pad, y + size, words, size, "ink", "start", bold))
            y += 1.6 * size
    return shapes, y + 0.3 * size


def _foot(figure: Figure, letters: Letters) -> tuple[list[Shape], float]:
    """Give what stands under the ticks, and where the plot ends."""
    size, (width, height) = figure.letter, figure.size
    shapes: list[Shape] = []
    y = height - _PAD * size
    if not figure.key_above and _named(figure):
        _, rows = _key(figure, letters, 0.0)
        shapes, _end = _key(figure, letters, y - rows - 0.2 * size)
        y -= rows + 1.9 * size
    if figure.x_words:
        shapes.append(letters.text(0.5 * width, y, figure.x_words, "middle"))
        y -= 1.6 * size
    if any(tick.below for tick in figure.ticks):
        y -= 1.3 * size
    return shapes, y - 1.3 * size


def _key(figure: Figure, letters: Letters, y: float) -> tuple[list[Shape], float]:
    pad = _PAD * figure.letter
    entries = [each.entry for each in _named(figure)]
    return key(entries, pad, figure.size[0] - pad, y, letters, _bold(figure), "ink")


def _named(figure: Figure) -> list[Band | Curve]:
    """What the key names."""
    each: list[Band | Curve] = [*figure.curves]
    if figure.band is not None:
        each.insert(0, figure.band)
    return [one for one in each if one.words]


def _axis(figure: Figure, plot: Plot, letters: Letters) -> list[Shape]:
    """Give the base line with its ticks."""
    size = figure.letter
    shapes: list[Shape] = [
        Line(((plot.left, plot.bottom), (plot.right, plot.bottom)), "ink", 0.07 * size)
    ]
    for tick in figure.ticks:
        x = plot.x.at(tick.at)
        half = _half(tick, letters)
        x = min(max(x, half + 2.0), figure.size[0] - half - 2.0)
        shapes.append(letters.text(x, plot.bottom + 1.3 * size, tick.words, "middle"))
        if tick.below:
            shapes.append(letters.text(x, plot.bottom + 2.6 * size, tick.below, "middle"))
    return shapes


def _half(tick: Tick, letters: Letters) -> float:
    return 0.5 * max(letters.wide(tick.words), letters.wide(tick.below))


def _inside(figure: Figure, plot: Plot, measure: Measure) -> list[Shape]:
    """Give curves and marks in their layers."""
    bold = _bold(figure)
    look = CurveMarkLook(2.2 * bold, 4.2 * bold, figure.letter, halo=3.0 * bold)
    return [
        *curve_marks.stretches(figure.marks, plot, look),
        *band_shapes(figure.band, plot),
        *curve_shapes(figure.curves, plot, bold),
        *curve_marks.lines(figure.marks, plot, look),
        *curve_marks.words(figure.marks, plot, look, measure),
        *_moments(figure, plot),
    ]


def _moments(figure: Figure, plot: Plot) -> list[Shape]:
    """Give numbered discs on the first curve; those that would lie upon each other stand higher."""
    shapes: list[Shape] = []
    if not figure.curves:
        return shapes
    curve, radius = figure.curves[0], 0.85 * figure.letter
    placed: list[tuple[float, float]] = []
    for moment in sorted(figure.moments, key=lambda one: one.at):
        x = plot.x.at(moment.at)
        on_curve = plot.y.at(float(np.interp(moment.at, curve.along, curve.values)))
        y = on_curve
        while any(abs(x - px) < 2.2 * radius and abs(y - py) < 2.2 * radius for px, py in placed):
            y -= 2.2 * radius
        if y < on_curve:
            shapes.append(Line(((x, on_curve), (x, y)), "ink", 0.12 * radius))
        placed.append((x, y))
        shapes.append(Circle(x, y, radius, "ink", "ground", 0.18 * radius))
        size = 0.95 * figure.letter
        shapes.append(Text(x, y + 0.36 * size, moment.words, size, "ground", "middle", True))
    return shapes


def _bold(figure: Figure) -> float:
    """How many times the pens' widths lines have: those are meant for letters of 11."""
    return figure.letter / 11.0


def _number(value: float, decimal: str) -> str:
    said = f"{value:.6g}".replace("-", "\N{MINUS SIGN}")
    return said.replace(".", decimal)
