"""Where everything of a stroke strip goes, as shapes in points that either painter draws.

Frames stand in two rows like bricks: each is nearly twice as wide as its share of the time axis,
and the hairline of an upper one runs down the joint between two lower ones.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal, cast

import numpy as np

from analysis.force.curves import PERCENT
from analysis.force.trace import FloatArray
from app.bundle.pictures.strip_data import Image, StripFrame, StripSpan, StrokeStrip
from app.bundle.wording.text import one_line
from app.scene.signs import drawable
from app.submission.shown_signals import known_runs

Role = Literal[
    "ground", "ink", "quiet", "rule", "hair", "own", "mean", "target", "accent", "shade", "fill",
    "casing", "yellow", "blue", "red", "yellow shade", "blue shade", "red shade",
]  # fmt: skip
Point = tuple[float, float]

PAD = 10.0
_NARROW = 560.0  # below it every other frame is left out
_WIDTH_IN_CELLS = 1.86
_ROW_GAP = 8.0
TEXT = 12.5
TITLE = 16.0
_LETTER = 0.57  # mean width of a letter as a share of its size
_LEAST_SPAN_PCT = 3.0
_PEAK_ROOM = 30.0
_ROW, _ROW_WORDS, _ROW_LINE = 30.0, 22.0, 1.8  # of a signal under the curve


@dataclass(frozen=True)
class Picture:
    """A frame, with rounded corners; `edge` is the colour of a rim of `rim` points."""

    x: float
    y: float
    width: float
    height: float
    image: Image
    edge: Role
    rim: float


@dataclass(frozen=True)
class Line:
    """A line through points, dashed or not."""

    points: tuple[Point, ...]
    role: Role
    width: float
    dash: tuple[float, ...] = ()


@dataclass(frozen=True)
class Area:
    """A filled shape."""

    points: tuple[Point, ...]
    role: Role


@dataclass(frozen=True)
class Dot:
    """A filled circle with a rim of the ground's colour."""

    x: float
    y: float
    radius: float
    role: Role


@dataclass(frozen=True)
class Text:
    """Words on their baseline, with a halo of the ground's colour."""

    x: float
    y: float
    text: str
    size: float
    role: Role
    anchor: Literal["start", "middle", "end"] = "start"
    bold: bool = False


Shape = Picture | Line | Area | Dot | Text


@dataclass(frozen=True)
class Layout:
    """Shapes in the order they are drawn, and the size they take."""

    width: float
    height: float
    shapes: tuple[Shape, ...]


@dataclass(frozen=True)
class _Plot:
    """The plot's box and its two scales."""

    left: float
    right: float
    top: float
    bottom: float
    x: Callable[[float], float]
    percent: Callable[[float], float]
    top_n: float

    def y(self, force_n: float) -> float:
        share = min(max(force_n / self.top_n, 0.0), 1.0)
        return self.bottom - share * (self.bottom - self.top)


def lay_out(strip: StrokeStrip, width: float) -> Layout:
    """Place everything for a width in points."""
    places = _places(strip, width)
    frames = [frame for frame in strip.frames if frame.place in places]
    cell = (width - 2 * PAD) / (len(places) - 1 + _WIDTH_IN_CELLS)
    first = PAD + 0.5 * _WIDTH_IN_CELLS * cell
    step_pct = places[1] - places[0]

    def x(percent: float) -> float:
        return first + (percent - places[0]) / step_pct * cell

    def percent(at: float) -> float:
        return places[0] + (at - first) / cell * step_pct

    shapes: list[Shape] = []
    y = PAD
    if strip.title:
        shapes.append(Text(PAD, y + TITLE, strip.title, TITLE, "ink", bold=True))
        y += TITLE + 16.0
    pictures, rows_end = _pictures(frames, places, strip.span, x, y, cell)
    named = strip.span is not None and bool(strip.span.words)
    top = rows_end + (36.0 if named else 18.0) if frames else y + (22.0 if named else 4.0)
    height = min(max(0.21 * width, 120.0), 230.0)
    plot = _Plot(PAD, width - PAD, top, top + height, x, percent, _top_n(strip, height))
    shapes += _ground(plot, strip)
    shapes += _shaded(plot, strip)
    shapes += _hairlines(frames, pictures, rows_end, plot, strip)
    shapes += _curves(plot, strip)
    shapes += _drawn(plot, strip)
    shapes += [Dot(x(f.percent), plot.y(_force(strip, f.percent)), 3.0, "own") for f in frames]
    shapes += _words(plot, strip)
    shapes += pictures
    rows, under = _signal_rows(strip, plot)
    shapes += rows
    legend, end = _legend(strip, plot, width, under)
    return Layout(width, end, (*shapes, *legend))


def _places(strip: StrokeStrip, width: float) -> tuple[float, ...]:
    """Give the places to show: on a narrow strip every other one, the span among them."""
    places = strip.places
    if width >= _NARROW or len(places) <= 5:
        return places
    evens, odds = places[::2], places[1::2]
    if strip.span is None:
        return evens

    def seen(some: tuple[float, ...]) -> int:
        return sum(_is_marked(f, strip.span) for f in strip.frames if f.place in some)

    return odds if seen(odds) > 0 and seen(evens) == 0 else evens


def _is_marked(frame: StripFrame, span: StripSpan | None) -> bool:
    return span is not None and span.percent_from <= frame.percent <= span.percent_to


def _pictures(
    frames: list[StripFrame],
    places: tuple[float, ...],
    span: StripSpan | None,
    x: Callable[[float], float],
    y: float,
    cell: float,
) -> tuple[list[Picture], float]:
    """Give the frames in their two rows, and where those end."""
    if not frames:
        return [], y
    wide = _WIDTH_IN_CELLS * cell - 0.14 * cell
    tall = wide * frames[0].image.shape[0] / frames[0].image.shape[1]
    made = []
    for frame in frames:
        row = places.index(frame.place) % 2
        marked = _is_marked(frame, span)
        edge: Role = "accent" if marked else "rule"
        left, top = x(frame.place) - 0.5 * wide, y + row * (tall + _ROW_GAP)
        made.append(Picture(left, top, wide, tall, frame.image, edge, 3.0 if marked else 1.0))
    return made, max(p.y for p in made) + tall


def _top_n(strip: StrokeStrip, height: float) -> float:
    """Give the force at the top of the plot: above the peak there is room for its words."""
    tops = [strip.curve[1], strip.mean_n, strip.target_n]
    drawn = [n for m in strip.marks if m.kind == "line" for _percent, n in m.points]
    most = max(1.0, *drawn, *(float(t.max()) for t in tops if t is not None and len(t)))
    return most * height / (height - _PEAK_ROOM)


def _force(strip: StrokeStrip, percent: float) -> float:
    return float(np.interp(percent, *strip.curve))


def _ground(plot: _Plot, strip: StrokeStrip) -> list[Shape]:
    """Give levels of force, the shaded span and the base line."""
    shapes: list[Shape] = []
    span = _shown_span(strip.span, plot)
    if span is not None:
        left, right = span
        box = ((left, plot.top), (right, plot.top), (right, plot.bottom), (left, plot.bottom))
        shapes.append(Area(box, "shade"))
    step = next(s for s in (50, 100, 200, 400, 800, 1600, 10**9) if plot.top_n / s < 4.5)
    levels = [float(n) for n in range(step, int(plot.top_n) + 1, step)]
    for level in levels:
        shapes.append(Line(((plot.left, plot.y(level)), (plot.right, plot.y(level))), "rule", 1.0))
    for mark in (0.0, 100.0):
        at = plot.x(mark)
        shapes.append(Line(((at, plot.y(plot.top_n)), (at, plot.bottom + 5)), "rule", 1.0))
    shapes.append(Line(((plot.left, plot.bottom), (plot.right, plot.bottom)), "hair", 1.2))
    for level in levels:
        label = f"{level:.0f}" + (f" {strip.words.unit}" if level == levels[-1] else "")
        shapes.append(Text(plot.left, plot.y(level) - 4, label, 11.0, "quiet"))
    return shapes


def _shown_span(span: StripSpan | None, plot: _Plot) -> tuple[float, float] | None:
    """Left and right end of a span inside the plot, None for one outside it."""
    if span is None:
        return None
    middle = 0.5 * (span.percent_from + span.percent_to)
    half = 0.5 * max(span.percent_to - span.percent_from, _LEAST_SPAN_PCT)
    left = max(plot.x(middle - half), plot.left)
    right = min(plot.x(middle + half), plot.right)
    return (left, right) if right > left else None


def _hairlines(
    frames: list[StripFrame],
    pictures: list[Picture],
    rows_end: float,
    plot: _Plot,
    strip: StrokeStrip,
) -> list[Shape]:
    """From each frame down to the moment it was filmed.

    Frames stand evenly, moments do not quite: the line bends between the rows and the plot.
    """
    shapes: list[Shape] = []
    for frame, picture in zip(frames, pictures, strict=True):
        middle, at = picture.x + 0.5 * picture.width, plot.x(frame.percent)
        begin, end = rows_end + 2.0, plot.top - 2.0
        bend = tuple(
            (middle + (at - middle) * s * s * (3.0 - 2.0 * s), begin + (end - begin) * s)
            for s in np.linspace(0.0, 1.0, 9).tolist()
        )
        first = (middle, picture.y + picture.height)
        points = (first, *bend, (at, plot.y(_force(strip, frame.percent))))
        shapes.append(Line(points, "hair", 1.0))
    return shapes


def _curves(plot: _Plot, strip: StrokeStrip) -> list[Shape]:
    percent, force_n = strip.curve
    inside = (percent >= plot.percent(plot.left)) & (percent <= plot.percent(plot.right))
    own = _points(plot, percent[inside], force_n[inside])
    if not own:
        return []
    shapes: list[Shape] = [
        Area((*own, (own[-1][0], plot.bottom), (own[0][0], plot.bottom)), "fill")
    ]
    if strip.mean_n is not None:
        shapes.append(Line(_points(plot, PERCENT, strip.mean_n), "mean", 1.8))
    if strip.target_n is not None:
        shapes.append(Line(_points(plot, PERCENT, strip.target_n), "target", 1.8, (6.0, 4.0)))
    shapes.append(Line(own, "own", 2.6))
    return shapes


def _shaded(plot: _Plot, strip: StrokeStrip) -> list[Shape]:
    """Give the stretches the coach shaded, with their edges."""
    shapes: list[Shape] = []
    for mark in strip.marks:
        if mark.kind != "span":
            continue
        left, right = (plot.x(p) for p in mark.span_pct)
        box = ((left, plot.top), (right, plot.top), (right, plot.bottom), (left, plot.bottom))
        shapes.append(Area(box, cast(Role, f"{mark.colour} shade")))
        for at in (left, right):
            shapes.append(Line(((at, plot.top), (at, plot.bottom)), cast(Role, mark.colour), 1.6))
    return shapes


def _drawn(plot: _Plot, strip: StrokeStrip) -> list[Shape]:
    """Give the lines the coach drew, on their casing, and the words beside marks."""
    shapes: list[Shape] = []
    for mark in strip.marks:
        points = tuple((plot.x(p), plot.y(n)) for p, n in mark.points)
        if mark.kind == "line":
            shapes.append(Line(points, "casing", 5.2))
            shapes.append(Line(points, cast(Role, mark.colour), 2.8))
        if mark.text:
            text = one_line(mark.text)
            half = 0.5 * _LETTER * TEXT * len(drawable(text))
            middle = sum(plot.x(p) for p in mark.span_pct) / 2 if mark.kind == "span" else 0.0
            at, y = (middle, plot.bottom - 8) if mark.kind == "span" else points[-1]
            at = min(max(at, plot.left + half), plot.right - half)
            y = y if mark.kind == "span" else min(y + 18.0, plot.bottom - 8)
            shapes.append(Text(at, y, text, TEXT, "ink", "middle", bold=True))
    return shapes


def _points(plot: _Plot, percent: FloatArray, force_n: FloatArray) -> tuple[Point, ...]:
    return tuple(
        (plot.x(float(p)), plot.y(float(n))) for p, n in zip(percent, force_n, strict=True)
    )


def _words(plot: _Plot, strip: StrokeStrip) -> list[Shape]:
    """Catch, peak and finish by name, and the span's own words under its bracket."""
    w = strip.words
    peak_pct, peak_n = strip.peak
    at, y = plot.x(peak_pct), plot.y(peak_n)
    shapes: list[Shape] = [
        Text(plot.x(0.0), plot.bottom + 19, w.catch, TEXT, "ink", "middle", bold=True),
        Text(plot.x(100.0), plot.bottom + 19, w.finish, TEXT, "ink", "middle", bold=True),
        Dot(at, y, 4.5, "own"),
        Text(at, y - 10, f"{w.peak} {peak_n:.0f} {w.unit}", TEXT, "ink", "middle", bold=True),
    ]
    span = _shown_span(strip.span, plot)
    if span is not None and strip.span is not None:
        left, right = span
        bracket = plot.top - 1.5
        shapes.append(Line(((left, bracket), (right, bracket)), "accent", 3.0))
        half = 0.5 * _LETTER * TEXT * len(strip.span.words)
        middle = min(max(0.5 * (left + right), plot.left + half), plot.right - half)
        shapes.append(
            Text(middle, bracket - 8, strip.span.words, TEXT + 0.5, "ink", "middle", bold=True)
        )
    return shapes


def _signal_rows(strip: StrokeStrip, plot: _Plot) -> tuple[list[Shape], float]:
    """Give a thin row for each signal under the axis, and where the lowest ends."""
    shapes: list[Shape] = []
    percent = strip.curve[0]
    inside = (percent >= plot.percent(plot.left)) & (percent <= plot.percent(plot.right))
    bottom = plot.bottom + (_ROW_WORDS if strip.signals else 0.0)
    for signal in strip.signals:
        top, bottom = bottom + _ROW_WORDS, bottom + _ROW_WORDS + _ROW
        shapes.append(Line(((plot.left, bottom), (plot.right, bottom)), "rule", 1.0))
        across, shares = percent[inside], signal.shares[inside]
        for run in known_runs(shares):
            points = tuple(
                (plot.x(float(p)), bottom - float(s) * _ROW)
                for p, s in zip(across[run], shares[run], strict=True)
            )
            dash = tuple(_ROW_LINE * d for d in signal.dashes)
            shapes.append(Line(points, "ink", _ROW_LINE, dash))
        shapes.append(Text(plot.left, top - 5.0, signal.words, 11.0, "quiet"))
    return shapes, bottom


def _legend(
    strip: StrokeStrip, plot: _Plot, width: float, under: float
) -> tuple[list[Shape], float]:
    """Each line with its name under the axis; gives where the strip ends."""
    w = strip.words
    items: list[tuple[Role, str, tuple[float, ...], float]] = [("own", w.own, (), 2.6)]
    if strip.mean_n is not None:
        items.append(("mean", w.mean, (), 1.8))
    if strip.target_n is not None:
        items.append(("target", w.target, (6.0, 4.0), 1.8))
    shapes: list[Shape] = []
    x, y = plot.left, under + (30.0 if strip.signals else 42.0)
    for role, text, dash, thick in items:
        long = 34.0 + _LETTER * TEXT * len(text)
        if x > plot.left and x + long > width - PAD:
            x, y = plot.left, y + 19.0
        shapes.append(Line(((x, y - 4), (x + 26, y - 4)), role, thick, dash))
        shapes.append(Text(x + 33, y, text, TEXT, "quiet"))
        x += long + 20.0
    return shapes, y + PAD
