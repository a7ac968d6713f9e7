"""Marks on the force curve as shapes: a line on its casing, a shaded stretch, words beside them.

They come in three layers: stretches lie under the curves, lines over them, words over all.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

from app.review.parts.curve_marks import CurveMark
from app.review.parts.marks import CASING, MARK_COLOURS
from app.scene.picture_marks import cased, plated
from app.scene.plot import Plot
from app.scene.shapes import Area, Line, Measure, Palette, Point, Rect, Shape, Text

_HATCH_OPACITY: Final = 0.51
_EDGE: Final = 1.5
_LOW: Final = 10.0  # a plot lower than so many letters
# "red" is a line, "red shade" what a stretch is filled with, "red edge" the lines at its ends.
PALETTE: Palette = {
    **{
        f"{name}{part}": ink
        for name, ink in MARK_COLOURS.items()
        for part in ("", " shade", " edge")
    },
    "casing": CASING,
    "words": "#ffffff",
}


@dataclass(frozen=True)
class CurveMarkLook:
    """How marks on the curve are drawn.

    Attributes
    ----------
    line, casing : widths of a line, and of the dark one under it
    text : size of letters
    shade : how much of a stretch is its colour, 0 to 1
    hatch : from one hatching line to the next, 0 for none: where a stretch of evidence stands on
        the same plot, so that they are not told apart by colour alone
    halo : width of the halo of words in the ink of the ground; 0 puts them on a dark plate
    bold, rim : of words on a plate: whether they are bold, and the width of the plate's edge
    """

    line: float
    casing: float
    text: float
    shade: float = 0.28
    hatch: float = 0.0
    halo: float = 0.0
    bold: bool = True
    rim: float = 1.5


def stretches(marks: Iterable[CurveMark], plot: Plot, look: CurveMarkLook) -> list[Shape]:
    """Give what is shaded, with a line at either end."""
    shapes: list[Shape] = []
    for mark in marks:
        if mark.kind != "span":
            continue
        left, right = (plot.x.at(percent) for percent in mark.span_pct)
        right, top, bottom = max(right, left + 2.0), plot.top, plot.bottom
        box = ((left, top), (right, top), (right, bottom), (left, bottom))
        shapes.append(Area(box, f"{mark.colour} shade", look.shade))
        if look.hatch > 0.0:
            shapes += _hatched(left, right, top, bottom, mark.colour, look.hatch)
        for x in (left, right):
            shapes.append(Line(((x, top), (x, bottom)), f"{mark.colour} edge", _EDGE))
    return shapes


def lines(marks: Iterable[CurveMark], plot: Plot, look: CurveMarkLook) -> list[Shape]:
    """Give the lines as the curve should run, on their casing."""
    shapes: list[Shape] = []
    for mark in marks:
        if mark.kind == "line":
            shapes += cased([course(mark, plot)], mark.colour, look.line, look.casing)
    return shapes


def words(
    marks: Iterable[CurveMark], plot: Plot, look: CurveMarkLook, measure: Measure
) -> list[Shape]:
    """Give the words beside marks."""
    shapes: list[Shape] = []
    for mark in marks:
        plate = plate_of(mark, plot, look, measure)
        if plate is None:
            continue
        if look.halo > 0.0:
            shapes.append(
                Text(
                    plate.x + 0.5 * plate.width, plate.y + 0.5 * plate.height + 0.36 * look.text,
                    mark.text, look.text, "drawn words", "middle", True, "ground", look.halo,
                )
            )  # fmt: skip
        else:
            shapes += plated(mark.text, plate, look.text, mark.colour, look.rim, look.bold)
    return shapes


def course(mark: CurveMark, plot: Plot) -> tuple[Point, ...]:
    """Where a line runs."""
    return tuple((plot.x.at(percent), plot.y.at(force_n)) for percent, force_n in mark.points)


def plate_of(mark: CurveMark, plot: Plot, look: CurveMarkLook, measure: Measure) -> Rect | None:
    """Where the words of a mark stand, within the plot.

    At the foot of a stretch, over the end of a line; beside that in a low plot, where they would
    hide the curves.
    """
    if not mark.text:
        return None
    width = measure(mark.text, look.text, look.bold) + 0.8 * look.text
    height = 1.5 * look.text
    if mark.kind == "span":
        middle = sum(plot.x.at(percent) for percent in mark.span_pct) / 2.0
        top = plot.bottom - height - 0.4 * look.text
    else:
        middle, end = course(mark, plot)[-1]
        top = end - height - 0.5 * look.text
        if plot.bottom - plot.top < _LOW * look.text:
            middle, top = middle + 0.5 * width + 0.5 * look.text, end - 0.5 * height
    left = max(min(middle - width / 2, plot.right - width - 2), plot.left + 2)
    top = max(min(top, plot.bottom - height - 2), plot.top + 2)
    return Rect(left, top, width, height, "casing", 0.9, 4.0)


def highest(marks: Iterable[CurveMark]) -> float:
    """Highest force of the lines the coach drew, N; 0 where there is none."""
    forces = [force_n for m in marks if m.kind == "line" for _percent, force_n in m.points]
    return max(forces, default=0.0)


def _hatched(
    left: float, right: float, top: float, bottom: float, colour: str, apart: float
) -> list[Shape]:
    """Slanting lines within a box."""
    shapes: list[Shape] = []
    high = bottom - top
    foot = left - high  # each rises from here to the right, a pixel up for each across
    while foot < right:
        start, end = max(foot, left), min(foot + high, right)
        if end > start:
            ends = ((start, bottom - (start - foot)), (end, bottom - (end - foot)))
            shapes.append(Line(ends, f"{colour} edge", 1.0, (), _HATCH_OPACITY))
        foot += apart
    return shapes
