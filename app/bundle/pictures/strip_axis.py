"""A stroke strip without a force: frames over the time of the drive as the picture shows it."""

from __future__ import annotations

from typing import Final

from app.bundle.pictures.strip_data import StripFrame, StrokeStrip
from app.bundle.pictures.strip_layout import (
    PAD,
    TEXT,
    TITLE,
    across_of,
    hairline,
    lay_out,
    rows_of,
    said_at,
    second_rows,
    shown_places,
    shown_span,
    signal_rows,
)
from app.scene import raster
from app.scene.plot import Plot, Scale
from app.scene.shapes import Circle, Drawing, Line, Rect, Shape

_BAND: Final = 14.0  # how high the axis is
_UNDER: Final = 24.0  # for the words under it


def drawing_of(strip: StrokeStrip, width: float) -> Drawing:
    """Place a strip for a width in points, over its force curve where there is one."""
    return lay_out(strip, width) if strip.has_force else over_axis(strip, width)


def over_axis(strip: StrokeStrip, width: float) -> Drawing:
    """Place frames over an axis from the hands' turn to the finish turn."""
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
    top = rows_end + (42.0 if named else 20.0)
    plot = Plot(PAD, top, width - PAD, top + _BAND, x, Scale(((0.0, top + _BAND), (1.0, top))))
    shapes += _axis(plot, strip)
    middle = top + 0.5 * _BAND
    shapes += [
        hairline(picture, rows_end, plot, frame.percent, middle)
        for frame, picture in zip(frames, pictures, strict=True)
    ]
    shapes += _moments(frames, plot, middle)
    shapes += _span_words(plot, strip)
    shapes += pictures
    rows, under = signal_rows(strip, plot)
    shapes += rows
    return Drawing(width, under + (0.0 if strip.signals else _UNDER) + PAD, tuple(shapes))


def _axis(plot: Plot, strip: StrokeStrip) -> list[Shape]:
    """The drive as a bar between its two turns, named below."""
    begin, end = plot.x.at(0.0), plot.x.at(100.0)
    high = plot.bottom - plot.top
    shapes: list[Shape] = [
        Line(((plot.left, plot.bottom - 0.5 * high), (plot.right, plot.bottom - 0.5 * high)),
             "rule", 1.2),
        Rect(begin, plot.top, end - begin, high, "hair", 0.3, 0.5 * high),
    ]  # fmt: skip
    span = shown_span(strip.span, plot)
    if span is not None:
        left, right = span
        shapes.append(Rect(left, plot.top, right - left, high, "shade", radius=0.3 * high))
    for at, words in ((begin, strip.words.catch), (end, strip.words.finish)):
        shapes.append(Line(((at, plot.top - 4.0), (at, plot.bottom + 5.0)), "hair", 1.4))
        half = 0.5 * raster.measure(words, TEXT, True)
        middle = min(max(at, plot.left + half), plot.right - half)
        shapes.append(said_at(middle, plot.bottom + 19.0, words, TEXT, "ink", "middle", bold=True))
    return shapes


def _moments(frames: list[StripFrame], plot: Plot, y: float) -> list[Shape]:
    return [Circle(plot.x.at(f.percent), y, 3.2, "own", "ground", 1.2) for f in frames]


def _span_words(plot: Plot, strip: StrokeStrip) -> list[Shape]:
    span = shown_span(strip.span, plot)
    if span is None or strip.span is None or not strip.span.words:
        return []
    left, right = span
    bracket, size = plot.top - 3.0, TEXT + 0.5
    half = 0.5 * raster.measure(strip.span.words, size, True)
    middle = min(max(0.5 * (left + right), plot.left + half), plot.right - half)
    return [
        Line(((left, bracket), (right, bracket)), "accent", 3.0),
        said_at(middle, bracket - 8.0, strip.span.words, size, "ink", "middle", bold=True),
    ]
