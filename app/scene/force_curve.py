"""Curves over a drive as shapes: a stroke, the mean and its spread, the target, signals, a pair."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from analysis.comparing.curves import CurvePair
from analysis.force.curves import PERCENT
from analysis.signals.signal import FloatArray
from app.scene.plot import Entry, Pen, Plot, runs_of
from app.scene.shapes import Area, Circle, Line, Rect, Shape, Text

# Widths in points. Which line is which is told by its dashes as well as its colour.
PENS: Final = {
    "own": Pen(2.6),
    "mean": Pen(1.8),
    "lead mean": Pen(2.8),  # where the mean is what the picture is about
    "target": Pen(1.8, (3.3, 2.2)),
    "read": Pen(1.8, (7.0, 2.5)),  # from a picture
    "drawn": Pen(2.0),  # while the hand is still at it
    "trace": Pen(1.0),  # of a whole recording
    "typical": Pen(1.1, (1.0, 1.6)),
    "left": Pen(2.6),
    "right": Pen(2.2, (5.0, 2.2)),
}
SIGNAL_INKS: Final = 5
_SIGNAL_WIDTH: Final = 0.7  # of the force's
_SIGNAL_HIGH: Final = 0.9  # of the plot is as high as a signal goes


@dataclass(frozen=True)
class Curve:
    """One line over the axis.

    Attributes
    ----------
    role : its ink, and its pen unless it has one of its own
    along, values : (n,) in the plot's units; NaN where it is not known, which is left open
    words : its name in the key
    """

    role: str
    along: FloatArray
    values: FloatArray
    words: str = ""
    pen: Pen | None = None

    @property
    def drawn_with(self) -> Pen:
        """Its pen."""
        return self.pen or PENS[self.role]

    @property
    def entry(self) -> Entry:
        """Its line of the key."""
        return Entry(self.role, self.words, self.drawn_with)


@dataclass(frozen=True)
class Band:
    """What lies between two lines, such as the spread about a mean."""

    along: FloatArray
    low: FloatArray
    high: FloatArray
    words: str = ""

    @property
    def entry(self) -> Entry:
        """Its line of the key."""
        return Entry("band", self.words, filled=True)


@dataclass(frozen=True)
class Evidence:
    """A stretch of the plot that a finding speaks of, with the number it rests on."""

    first: float
    last: float
    words: str


def over_drive(role: str, values: FloatArray, words: str = "", pen: Pen | None = None) -> Curve:
    """A curve at 0, 1 ... 100 percent of the drive."""
    return Curve(role, PERCENT.astype(float), values, words, pen)


def curve_shapes(curves: Iterable[Curve], plot: Plot, bold: float = 1.0) -> list[Shape]:
    """Give curves, each with its holes left open.

    Parameters
    ----------
    bold : widths are so many times those of the pens
    """
    shapes: list[Shape] = []
    for curve in curves:
        for run in runs_of(curve.values):
            points = plot.points(curve.along[run], curve.values[run])
            shapes.append(curve.drawn_with.line(points, curve.role, bold))
    return shapes


def band_shapes(band: Band | None, plot: Plot) -> list[Shape]:
    """Give the area between two lines, where both are known."""
    if band is None:
        return []
    shapes: list[Shape] = []
    for run in runs_of(band.high - band.low):
        there = plot.points(band.along[run], band.low[run])
        back = plot.points(band.along[run], band.high[run])
        shapes.append(Area((*there, *back[::-1]), "band"))
    return shapes


def pair_of(pair: CurvePair, names: tuple[str, str], shaded: str = "") -> tuple[Band, list[Curve]]:
    """Two strokes over each other: what is between them, and their lines."""
    low, high = np.fmin(pair.left, pair.right), np.fmax(pair.left, pair.right)
    apart = np.isfinite(pair.difference)
    band = Band(pair.along, np.where(apart, low, np.nan), np.where(apart, high, np.nan), shaded)
    right = Curve("right", pair.along, pair.right, names[1])
    return band, [right, Curve("left", pair.along, pair.left, names[0])]


def filled_under(curve: Curve, plot: Plot) -> list[Shape]:
    """Give the area from a curve down to the axis."""
    shapes: list[Shape] = []
    for run in runs_of(curve.values):
        points = plot.points(curve.along[run], curve.values[run])
        ends = ((points[-1][0], plot.bottom), (points[0][0], plot.bottom))
        shapes.append(Area((*points, *ends), "fill"))
    return shapes


def signal_curve(
    along: FloatArray, shares: FloatArray, words: str, dashes: tuple[float, ...], place: int,
    top: float,
) -> Curve:  # fmt: skip
    """A further signal over a plot of force, as high as it reaches in the whole recording.

    Parameters
    ----------
    shares : (n,) 0 at its lowest, 1 at its highest, NaN where it is not known
    place : its number among the signals, which gives it its ink
    top : the force at the upper end of the plot, N
    """
    values = _SIGNAL_HIGH * top * shares
    return Curve(signal_ink(place), along, values, words, Pen(_SIGNAL_WIDTH, dashes))


def signal_ink(place: int) -> str:
    """The ink of a further signal, by its number among those of the recording."""
    return f"signal {place % SIGNAL_INKS}"


def evidence_shapes(evidence: Evidence, plot: Plot, text: float, wide: float) -> list[Shape]:
    """Give a finding's stretch with its number over the curve, where there is room.

    Parameters
    ----------
    text, wide : size of the letters, and how wide the words are
    """
    left, right = (plot.x.at(along) for along in (evidence.first, evidence.last))
    span = Rect(left, plot.top, max(right - left, 2.0), plot.bottom - plot.top, "evidence", 0.235)
    edges = [Line(((x, plot.top), (x, plot.bottom)), "evidence", 1.0) for x in (span.x, span.right)]
    x = min(max(span.x + span.width / 2 - wide / 2, plot.left), plot.right - wide - 8)
    plate = Rect(x, plot.top + 3, wide + 8, 1.5 * text, "ground")
    baseline = plate.y + 0.5 * plate.height + 0.36 * text
    said = Text(plate.x + plate.width / 2, baseline, evidence.words, text, "evidence", "middle")
    return [span, *edges, plate, said]


def cursor(plot: Plot, along: float, width: float = 2.0) -> list[Shape]:
    """Give the line that stands at a moment."""
    return cursor_at(plot.x.at(along), plot.top, plot.bottom, width)


def cursor_at(x: float, top: float, bottom: float, width: float = 2.0) -> list[Shape]:
    """Give that line where its place is known already."""
    return [Line(((x, top), (x, bottom)), "cursor", width)]


def knobs(plot: Plot, curves: Sequence[Curve], along: float) -> list[Shape]:
    """Give a ring on each curve at a moment, where it is known there."""
    shapes: list[Shape] = []
    for curve in curves:
        value = float(np.interp(along, curve.along, curve.values))
        if np.isfinite(value):
            x, y = plot.x.at(along), plot.y.at(value)
            shapes.append(Circle(x, y, 7.0, "ground", curve.role, 3.0))
    return shapes
