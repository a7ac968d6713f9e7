"""Marks on the force curve: what it should look like, and the stretch a coach speaks of.

Places are percent of the drive, on the axis a mark was drawn on, and newtons.
"""

from __future__ import annotations

import uuid
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

from analysis.force.curves import Axis
from app.review.errors import ReviewError
from app.review.marks import MARK_COLOURS, Point

CURVE_KINDS: Final = ("line", "span")


@dataclass(frozen=True)
class CurveMark:
    """One mark on the force curve.

    Attributes
    ----------
    id : never changes
    kind : "line", as the curve should run there, or "span", a shaded stretch of the drive
    axis : what the percent are of: the drive's time or its length
    points : (percent, N), two or more for a line; a span has two, of which only the percent count
    stroke : index of the stroke it belongs to; None for every stroke, and their mean
    text : words beside it
    """

    id: str
    kind: str
    axis: Axis
    points: tuple[Point, ...]
    colour: str = "yellow"
    stroke: int | None = None
    text: str = ""

    @property
    def span_pct(self) -> tuple[float, float]:
        """From where to where it reaches, percent."""
        percents = [percent for percent, _force_n in self.points]
        return min(percents), max(percents)


def new_curve_mark(
    kind: str,
    axis: Axis,
    points: Iterable[Point],
    colour: str = "yellow",
    stroke: int | None = None,
    text: str = "",
) -> CurveMark:
    """Return a mark with an id of its own, its points within the drive and not below zero."""
    return CurveMark(uuid.uuid4().hex, kind, axis, within_drive(points), colour, stroke, text)


def within_drive(points: Iterable[Point], whole: bool = False) -> tuple[Point, ...]:
    """Put (percent, N) within the drive and not below zero.

    Parameters
    ----------
    whole : move them all alike, so that they keep their shape; it reaches over 100 percent at most
    """
    points = tuple((float(x), float(y)) for x, y in points)
    if whole:
        percents, forces = zip(*points, strict=True)
        dx = max(0.0, -min(percents)) + min(0.0, 100.0 - max(percents))
        dy = max(0.0, -min(forces))
        points = tuple((x + dx, y + dy) for x, y in points)
    return tuple((min(max(x, 0.0), 100.0), max(y, 0.0)) for x, y in points)


def on_curve(marks: Iterable[CurveMark], axis: Axis, stroke: int | None) -> tuple[CurveMark, ...]:
    """Marks to be seen on the curve of a stroke; those of every stroke for None."""
    return tuple(m for m in marks if m.axis == axis and m.stroke in (None, stroke))


def check_curve_marks(marks: tuple[CurveMark, ...]) -> None:
    """Refuse marks that no painter can draw.

    Raises
    ------
    ReviewError
        An unknown kind, axis or colour, too few points, or two marks with one id.
    """
    if len({mark.id for mark in marks}) != len(marks):
        raise ReviewError("Two marks on the curve share one id.")
    for mark in marks:
        if mark.kind not in CURVE_KINDS:
            raise ReviewError("There is no such kind of mark on the curve.")
        if mark.axis not in ("time", "length"):
            raise ReviewError("A mark on the curve runs over the time or the length of the drive.")
        if mark.colour not in MARK_COLOURS:
            raise ReviewError("There is no such colour for a mark.")
        if len(mark.points) < 2 or (mark.kind == "span" and len(mark.points) != 2):
            raise ReviewError(f"A {mark.kind} on the curve has another number of points.")
