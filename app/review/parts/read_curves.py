"""Force curves read from pictures: kept to compare with, and to make a target of."""

from __future__ import annotations

import math
import uuid
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from functools import partial
from itertools import pairwise
from typing import TYPE_CHECKING, Any, ClassVar, Final

from app.review.parts.change import KEEP, Change, Kept, edited
from app.review.values.errors import ReviewError
from app.review.values.items import found, put, without
from app.review.values.part import Cells, Group, Part, Rows, Stored, Table, declare, unique
from app.review.values.text import readable

if TYPE_CHECKING:
    from app.review.parts.state import ReviewState

READ_AXES: Final = ("time", "length", "unknown")
LONGEST_NAME: Final = 200
MOST: Final = 50  # curves: more no coach tells apart
HIGHEST_N: Final = 20_000.0  # above it nothing is a handle force
ReadPoint = tuple[int, float, float]


@dataclass(frozen=True)
class ReadCurve:
    """The force of one drive, as it was read from a picture.

    Attributes
    ----------
    id : never changes
    name : how the coach calls it
    source : what it was read from: a file's name, or the moment of a film
    axis : what the percent are of: "time" or "length" of the drive, or "unknown"
    has_scale : whether its values are newtons; else shares of its peak
    extent : of the drive, seconds or metres by its axis; None where the picture does not say
    points : (percent, value, standard deviation), ascending; a percent that is not there is a gap
    shown : whether it is drawn beside the athlete's own
    """

    id: str
    name: str
    source: str
    axis: str
    has_scale: bool
    extent: float | None
    points: tuple[ReadPoint, ...]
    shown: bool = True


def new_read_curve(
    name: str,
    source: str,
    axis: str,
    has_scale: bool,
    extent: float | None,
    points: Iterable[ReadPoint],
) -> ReadCurve:
    """Return a curve with an id of its own."""
    return ReadCurve(uuid.uuid4().hex, name, source, axis, has_scale, extent, tuple(points))


def check_read_curves(curves: tuple[ReadCurve, ...]) -> None:
    """Refuse curves nobody could draw; raises ReviewError."""
    if len({curve.id for curve in curves}) != len(curves):
        raise ReviewError("Two curves read from pictures share one id.")
    if len(curves) > MOST:
        raise ReviewError(f"A review keeps at most {MOST} curves read from pictures.")
    for curve in curves:
        _check_one(curve)


def _check_one(curve: ReadCurve) -> None:
    if curve.axis not in READ_AXES:
        raise ReviewError("A curve read from a picture runs over the drive's time or its length.")
    if not curve.name.strip() or len(curve.name) > LONGEST_NAME:
        raise ReviewError(f"A curve needs a name of at most {LONGEST_NAME} characters.")
    if curve.extent is not None and not 0.0 < curve.extent < math.inf:
        raise ReviewError("A drive lasts or reaches more than nothing.")
    percents = [percent for percent, _value, _sd in curve.points]
    ascending = all(a < b for a, b in pairwise(percents))
    if len(percents) < 2 or not ascending or percents[0] < 0 or percents[-1] > 100:
        raise ReviewError("The points of a curve lie in order within 0 to 100 % of the drive.")
    if not all(0.0 <= value <= HIGHEST_N and sd >= 0.0 for _p, value, sd in curve.points):
        raise ReviewError(
            f"A curve read from a picture lies between 0 and {HIGHEST_N:.0f} N; check the values of"
            " the upright axis."
        )


@dataclass(frozen=True)
class ReadCurves:
    """The curves read from pictures, in the order they were read."""

    read_curves: tuple[ReadCurve, ...] = ()


CURVE = Table(
    "read_curve",
    {
        "id": "TEXT NOT NULL",
        "place": "INTEGER NOT NULL",
        "name": "TEXT NOT NULL",
        "source": "TEXT NOT NULL",
        "axis": "TEXT NOT NULL",
        "has_scale": "INTEGER NOT NULL CHECK (has_scale IN (0, 1))",
        "extent": "REAL",
        "shown": "INTEGER NOT NULL CHECK (shown IN (0, 1))",
    },
    ("id",),
    words=("curve read from a picture", "curves read from pictures"),
    late=True,
)
POINT = Table(
    "read_curve_point",
    {
        "curve_id": "TEXT NOT NULL",
        "percent": "INTEGER NOT NULL",
        "value": "REAL NOT NULL",
        "sd": "REAL NOT NULL",
    },
    ("curve_id", "percent"),
    words=("point of a curve read from a picture", "points of curves read from pictures"),
    counted=False,
    late=True,
)


def _groups(state: ReadCurves) -> Iterable[Group]:
    for i, curve in enumerate(state.read_curves):
        yield Group(curve.id, curve, partial(_rows, curve, i), i)


def _rows(curve: ReadCurve, place: int) -> Rows:
    points = [
        (POINT, POINT.row(curve_id=curve.id, percent=percent, value=value, sd=sd))
        for percent, value, sd in curve.points
    ]
    return [(CURVE, CURVE.row(curve, place=place)), *points]


def _read(stored: Stored) -> Mapping[str, Any]:
    points = stored.by(
        POINT, "curve_id", lambda c: (c.count("percent"), c.number("value"), c.number("sd"))
    )
    curves = stored.each(CURVE, lambda c: _curve(c, points), lambda k: check_read_curves((k,)))
    kept = unique(curves, lambda k: k.id, "curves read from pictures", stored.lenient)
    return {"read_curves": kept}


def _curve(c: Cells, points: Mapping[str, list[ReadPoint]]) -> ReadCurve:
    return ReadCurve(
        c.text("id"),
        c.text("name"),
        c.text("source"),
        c.word("axis", READ_AXES),
        c.flag("has_scale"),
        c.number_or_none("extent"),
        tuple(sorted(points.get(c.text("id"), ()))),
        c.flag("shown"),
    )


def _check(state: ReadCurves) -> None:
    check_read_curves(state.read_curves)


PART = declare(Part(ReadCurves, (CURVE, POINT), _groups, _read, _check))


def find_read_curve(state: ReviewState, curve_id: str) -> ReadCurve:
    """Return the curve with an id; raises ReviewError when it is gone."""
    return found(state.read_curves, curve_id, "That curve is no longer in the review")


@dataclass(frozen=True)
class AddReadCurves(Change):
    """Keep the curves of one picture (see `new_read_curve`); one step to undo."""

    curves: tuple[ReadCurve, ...]
    label: ClassVar[str] = "curve read from a picture"

    def apply(self, state: ReviewState) -> ReviewState:
        """Return the state with them behind the others."""
        named = tuple(
            replace(curve, name=readable(curve.name), source=readable(curve.source))
            for curve in self.curves
        )
        return replace(state, read_curves=(*state.read_curves, *named))


@dataclass(frozen=True)
class EditReadCurve(Change):
    """Name a curve, show or hide it; what is KEEP stays."""

    curve_id: str
    name: str | Kept = KEEP
    shown: bool | Kept = KEEP
    label: ClassVar[str] = "change curve read from a picture"

    def apply(self, state: ReviewState) -> ReviewState:
        """Return the state with it changed, in its place among the others."""
        new = edited(find_read_curve(state, self.curve_id), self)
        return replace(state, read_curves=put(state.read_curves, new))


@dataclass(frozen=True)
class DeleteReadCurve(Change):
    """Take a curve out of the review."""

    curve_id: str
    label: ClassVar[str] = "remove curve read from a picture"

    def apply(self, state: ReviewState) -> ReviewState:
        """Return the state without it."""
        gone = find_read_curve(state, self.curve_id)
        return replace(state, read_curves=without(state.read_curves, gone))
