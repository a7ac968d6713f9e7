"""Where everything of a stroke strip goes, as shapes in points that either painter draws.

Frames stand in two rows like bricks: each is nearly twice as wide as its share of the time axis,
and the hairline of an upper one runs down the joint between two lower ones.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Final

import numpy as np

from app.bundle.pictures.strip_data import StripFrame, StripSpan, StrokeStrip
from app.bundle.wording.text import one_line
from app.review.parts.curve_marks import CurveMark
from app.scene import curve_marks, raster
from app.scene.curve_marks import CurveMarkLook
from app.scene.force_curve import Curve, curve_shapes, filled_under, over_drive
from app.scene.plot import Letters, Plot, Scale, key, level_lines, runs_of
from app.scene.shapes import Anchor, Circle, Drawing, Line, Picture, Rect, Shape
from app.scene.shapes import Text as Words

PAD = 10.0
_NARROW = 560.0  # below it every other frame is left out
WIDTH_IN_CELLS = 1.86
_ROW_GAP = 8.0
TEXT = 12.5
TITLE = 16.0
_HALO: Final = 4.0
_LETTERS: Final = Letters(12.5, raster.measure, "quiet", "ground", _HALO)
_MARKS: Final = CurveMarkLook(line=2.8, casing=5.2, text=12.5, halo=_HALO)
_LEAST_SPAN_PCT = 3.0
_PEAK_ROOM = 30.0
_ROW, _ROW_WORDS, _ROW_LINE = 30.0, 22.0, 1.8  # of a signal under the curve


def lay_out(strip: StrokeStrip, width: float) -> Drawing:
    """Place everything for a width in points."""
    places = shown_places(strip, width)
    frames = [frame for frame in strip.frames if frame.place in places]
    x, cell = across_of(places, width)
    shapes: list[Shape] = []
    y = PAD
    if strip.title:
        shapes.append(said_at(PAD, y + TITLE, strip.title, TITLE, "ink", bold=True))
        y += TITLE + 16.0
    above, y = second_rows(strip, places, x.at, y, cell)
    shapes += above
    pictures, rows_end = rows_of(frames, places, strip.span, x.at, y, cell)
    named = strip.span is not None and bool(strip.span.words)
    top = rows_end + (36.0 if named else 18.0) if frames else y + (22.0 if named else 4.0)
    height = min(max(0.21 * width, 120.0), 230.0)
    up = Scale(((0.0, top + height), (_top_n(strip, height), top)), clamps=True)
    plot = Plot(PAD, top, width - PAD, top + height, x, up)
    marks = [replace(mark, text=one_line(mark.text)) for mark in strip.marks]
    own = _own(strip, plot)
    shapes += _ground(plot, strip)
    shapes += filled_under(own, plot)
    shapes += curve_marks.stretches(marks, plot, _MARKS)
    shapes += _hairlines(frames, pictures, rows_end, plot, strip)
    shapes += curve_shapes([*_others(strip), own], plot)
    shapes += _drawn(marks, plot)
    shapes += [_dot(x.at(f.percent), up.at(_force(strip, f.percent)), 3.0) for f in frames]
    shapes += _words(plot, strip)
    shapes += pictures
    rows, under = signal_rows(strip, plot)
    shapes += rows
    entries = [curve.entry for curve in (own, *_others(strip))]
    at = under + (30.0 if strip.signals else 42.0)
    legend, end = key(entries, plot.left, width - PAD, at, _LETTERS)
    return Drawing(width, end + PAD, (*shapes, *legend))


def across_of(places: tuple[float, ...], width: float) -> tuple[Scale, float]:
    """Where percents of the drive stand, and how far apart two places are."""
    cell = (width - 2 * PAD) / (len(places) - 1 + WIDTH_IN_CELLS)
    first = PAD + 0.5 * WIDTH_IN_CELLS * cell
    last = first + (len(places) - 1) * cell
    return Scale(((places[0], first), (places[-1], last))), cell


def said_at(
    x: float, y: float, text: str, size: float, ink: str, anchor: Anchor = "start",
    bold: bool = False,
) -> Words:  # fmt: skip
    """Words with the strip's halo."""
    return Words(x, y, text, size, ink, anchor, bold, "ground", _HALO)


def _dot(x: float, y: float, radius: float) -> Circle:
    return Circle(x, y, radius, "own", "ground", 1.2)


def _own(strip: StrokeStrip, plot: Plot) -> Curve:
    """The stroke's curve as far as the plot reaches."""
    percent, force_n = strip.curve
    across = np.array([plot.x.at(float(p)) for p in percent])
    inside = (across >= plot.left) & (across <= plot.right)
    return Curve("own", percent[inside], force_n[inside], strip.words.own)


def _others(strip: StrokeStrip) -> list[Curve]:
    curves = []
    if strip.mean_n is not None:
        curves.append(over_drive("mean", strip.mean_n, strip.words.mean))
    if strip.target_n is not None:
        curves.append(over_drive("target", strip.target_n, strip.words.target))
    return curves


def _drawn(marks: list[CurveMark], plot: Plot) -> list[Shape]:
    lines = curve_marks.lines(marks, plot, _MARKS)
    return [*lines, *curve_marks.words(marks, plot, _MARKS, raster.measure)]


def shown_places(strip: StrokeStrip, width: float) -> tuple[float, ...]:
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


def rows_of(
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
    wide = WIDTH_IN_CELLS * cell - 0.14 * cell
    tall = wide * frames[0].image.shape[0] / frames[0].image.shape[1]
    made = []
    for frame in frames:
        row = places.index(frame.place) % 2
        marked = _is_marked(frame, span)
        edge = "accent" if marked else "rule"
        left, top = x(frame.place) - 0.5 * wide, y + row * (tall + _ROW_GAP)
        made.append(Picture(left, top, wide, tall, frame.image, edge, 3.0 if marked else 1.0))
    return made, max(p.y for p in made) + tall


def second_rows(
    strip: StrokeStrip,
    places: tuple[float, ...],
    x: Callable[[float], float],
    y: float,
    cell: float,
) -> tuple[list[Shape], float]:
    """Give what a second camera shows, under its words, and where the frames may begin."""
    frames = [frame for frame in strip.second if frame.place in places]
    if not frames:
        return [], y
    said = said_at(PAD, y + TEXT, strip.second_words, TEXT, "quiet")
    pictures, end = rows_of(frames, places, None, x, y + TEXT + 8.0, cell)
    return [said, *pictures], end + 2.0 * _ROW_GAP


def _top_n(strip: StrokeStrip, height: float) -> float:
    """Give the force at the top of the plot: above the peak there is room for its words."""
    tops = [strip.curve[1], strip.mean_n, strip.target_n]
    drawn = curve_marks.highest(strip.marks)
    most = max(1.0, drawn, *(float(t.max()) for t in tops if t is not None and len(t)))
    return most * height / (height - _PEAK_ROOM)


def _force(strip: StrokeStrip, percent: float) -> float:
    return float(np.interp(percent, *strip.curve))


def _ground(plot: Plot, strip: StrokeStrip) -> list[Shape]:
    """Give levels of force, the shaded span and the base line."""
    shapes: list[Shape] = []
    span = shown_span(strip.span, plot)
    if span is not None:
        left, right = span
        shapes.append(Rect(left, plot.top, right - left, plot.bottom - plot.top, "shade"))
    top_n = plot.y.knots[-1][0]
    step = next(s for s in (50, 100, 200, 400, 800, 1600, 10**9) if top_n / s < 4.5)
    levels = [float(n) for n in range(step, int(top_n) + 1, step)]
    shapes += level_lines(plot, levels)
    for percent in (0.0, 100.0):
        at = plot.x.at(percent)
        shapes.append(Line(((at, plot.top), (at, plot.bottom + 5)), "rule", 1.0))
    shapes.append(Line(((plot.left, plot.bottom), (plot.right, plot.bottom)), "hair", 1.2))
    for level in levels:
        label = f"{level:.0f}" + (f" {strip.words.unit}" if level == levels[-1] else "")
        shapes.append(said_at(plot.left, plot.y.at(level) - 4, label, 11.0, "quiet"))
    return shapes


def shown_span(span: StripSpan | None, plot: Plot) -> tuple[float, float] | None:
    """Left and right end of a span inside the plot, None for one outside it."""
    if span is None:
        return None
    middle = 0.5 * (span.percent_from + span.percent_to)
    half = 0.5 * max(span.percent_to - span.percent_from, _LEAST_SPAN_PCT)
    left = max(plot.x.at(middle - half), plot.left)
    right = min(plot.x.at(middle + half), plot.right)
    return (left, right) if right > left else None


def _hairlines(
    frames: list[StripFrame],
    pictures: list[Picture],
    rows_end: float,
    plot: Plot,
    strip: StrokeStrip,
) -> list[Shape]:
    """From each frame down to the moment it was filmed.

    Frames stand evenly, moments do not quite: the line bends between the rows and the plot.
    """
    return [
        hairline(picture, rows_end, plot, frame.percent, plot.y.at(_force(strip, frame.percent)))
        for frame, picture in zip(frames, pictures, strict=True)
    ]


def hairline(picture: Picture, rows_end: float, plot: Plot, percent: float, down: float) -> Line:
    """The line from a frame to a moment of the plot, at the height `down`."""
    middle, at = picture.x + 0.5 * picture.width, plot.x.at(percent)
    begin, end = rows_end + 2.0, plot.top - 2.0
    bend = tuple(
        (middle + (at - middle) * s * s * (3.0 - 2.0 * s), begin + (end - begin) * s)
        for s in np.linspace(0.0, 1.0, 9).tolist()
    )
    return Line(((middle, picture.y + picture.height), *bend, (at, down)), "hair", 1.0)


def _words(plot: Plot, strip: StrokeStrip) -> list[Shape]:
    """Catch, peak and finish by name, and the span's own words over its bracket."""
    w = strip.words
    peak_pct, peak_n = strip.peak
    at, y = plot.x.at(peak_pct), plot.y.at(peak_n)
    said = [
        (plot.x.at(0.0), plot.bottom + 19, w.catch, TEXT),
        (plot.x.at(100.0), plot.bottom + 19, w.finish, TEXT),
        (at, y - 10, f"{w.peak} {peak_n:.0f} {w.unit}", TEXT),
    ]
    shapes: list[Shape] = [_dot(at, y, 4.5)]
    span = shown_span(strip.span, plot)
    if span is not None and strip.span is not None:
        left, right = span
        bracket = plot.top - 1.5
        shapes.append(Line(((left, bracket), (right, bracket)), "accent", 3.0))
        half = 0.5 * raster.measure(strip.span.words, TEXT + 0.5, True)
        middle = min(max(0.5 * (left + right), plot.left + half), plot.right - half)
        said.append((middle, bracket - 8, strip.span.words, TEXT + 0.5))
    shapes += [said_at(*where, "ink", "middle", bold=True) for where in said]
    return shapes


def signal_rows(strip: StrokeStrip, plot: Plot) -> tuple[list[Shape], float]:
    """Give a thin row for each signal under the axis, and where the lowest ends."""
    shapes: list[Shape] = []
    percent = strip.curve[0]
    across_px = np.array([plot.x.at(float(p)) for p in percent])
    inside = (across_px >= plot.left) & (across_px <= plot.right)
    bottom = plot.bottom + (_ROW_WORDS if strip.signals else 0.0)
    for signal in strip.signals:
        top, bottom = bottom + _ROW_WORDS, bottom + _ROW_WORDS + _ROW
        shapes.append(Line(((plot.left, bottom), (plot.right, bottom)), "rule", 1.0))
        across, shares = percent[inside], signal.shares[inside]
        for run in runs_of(shares):
            points = tuple(
                (plot.x.at(float(p)), bottom - float(s) * _ROW)
                for p, s in zip(across[run], shares[run], strict=True)
            )
            dash = tuple(_ROW_LINE * d for d in signal.dashes)
            shapes.append(Line(points, "ink", _ROW_LINE, dash))
        shapes.append(said_at(plot.left, top - 5.0, signal.words, 11.0, "quiet"))
    return shapes, bottom
