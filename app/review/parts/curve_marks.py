"""Marks on the force curve: what it should look like, and the stretch a coach speaks of.

Places are percent of the drive, on the axis a mark was drawn on, and newtons.
"""

from __future__ import annotations

import uuid
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any, ClassVar, Final

from analysis.force.curves import Axis
from app.review.parts.change import KEEP, Change, Kept, edited
from app.review.parts.marks import MARK_COLOURS, Point
from app.review.values.errors import ReviewError
from app.review.values.items import found, put, without
from app.review.values.part import Cells, Group, Part, Rows, Stored, Table, declare, unique
from app.review.values.text import readable

if TYPE_CHECKING:
    from app.review.parts.state import ReviewState

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


@dataclass(frozen=True)
class CurveMarks:
    """What is drawn on the force curve, the later over the earlier."""

    curve_marks: tuple[CurveMark, ...] = ()


MARK = Table(
    "curve_mark",
    {
        "id": "TEXT NOT NULL",
        "place": "INTEGER NOT NULL",
        "kind": "TEXT NOT NULL",
        "axis": "TEXT NOT NULL",
        "colour": "TEXT NOT NULL",
        "stroke": "INTEGER",
        "text": "TEXT NOT NULL",
    },
    ("id",),
    words=("mark on the curve", "marks on the curve"),
)
POINT = Table(
    "curve_mark_point",
    {
        "mark_id": "TEXT NOT NULL",
        "place": "INTEGER NOT NULL",
        "percent": "REAL NOT NULL",
        "force_n": "REAL NOT NULL",
    },
    ("mark_id", "place"),
    words=("point of a mark on the curve", "points of marks on the curve"),
    counted=False,
)


def _groups(state: CurveMarks) -> Iterable[Group]:
    for i, mark in enumerate(state.curve_marks):
        yield Group(mark.id, mark, lambda mark=mark, i=i: _rows(mark, i), i)  # type: ignore[misc]


def _rows(mark: CurveMark, place: int) -> Rows:
    points = [
        (POINT, POINT.row(mark_id=mark.id, place=i, percent=x, force_n=y))
        for i, (x, y) in enumerate(mark.points)
    ]
    return [(MARK, MARK.row(mark, place=place)), *points]


def _read(stored: Stored) -> Mapping[str, Any]:
    points = stored.by(POINT, "mark_id", lambda c: (c.number("percent"), c.number("force_n")))
    marks = stored.each(MARK, lambda c: _mark(c, points), lambda m: check_curve_marks((m,)))
    return {"curve_marks": unique(marks, lambda m: m.id, "marks on the curve", stored.lenient)}


def _mark(c: Cells, points: Mapping[str, list[Point]]) -> CurveMark:
    axes: tuple[Axis, ...] = ("time", "length")
    return CurveMark(
        c.text("id"),
        c.text("kind"),
        c.word("axis", axes),
        tuple(points.get(c.text("id"), ())),
        c.text("colour"),
        c.count_or_none("stroke"),
        c.text("text"),
    )


def _check(state: CurveMarks) -> None:
    check_curve_marks(state.curve_marks)


PART = declare(Part(CurveMarks, (MARK, POINT), _groups, _read, _check))


def find_curve_mark(state: ReviewState, mark_id: str) -> CurveMark:
    """Return the mark with an id; raises ReviewError when it is gone."""
    return found(state.curve_marks, mark_id, "That mark is no longer on the curve")


@dataclass(frozen=True)
class AddCurveMark(Change):
    """Draw a new mark on the curve (see `new_curve_mark`)."""

    mark: CurveMark
    label: ClassVar[str] = "draw on the curve"

    def apply(self, state: ReviewState) -> ReviewState:
        """Return the state with the mark on top of the others."""
        mark = replace(self.mark, text=readable(self.mark.text))
        return replace(state, curve_marks=(*state.curve_marks, mark))


@dataclass(frozen=True)
class EditCurveMark(Change):
    """Change one mark; what is KEEP stays. Changes of one `gesture` are one undo step."""

    mark_id: str
    points: tuple[Point, ...] | Kept = KEEP
    colour: str | Kept = KEEP
    text: str | Kept = KEEP
    stroke: int | Kept | None = KEEP
    gesture: str = ""
    label: ClassVar[str] = "change mark on the curve"

    def apply(self, state: ReviewState) -> ReviewState:
        """Return the state with the mark changed, in its place among the others."""
        new = edited(find_curve_mark(state, self.mark_id), self)
        return replace(state, curve_marks=put(state.curve_marks, new))

    def merges_with(self, previous: Change) -> bool:
        """The steps of one drag merge."""
        return self.goes_on_from(previous, "mark_id")


@dataclass(frozen=True)
class DeleteCurveMark(Change):
    """Take a mark off the curve."""

    mark_id: str
    label: ClassVar[str] = "delete mark on the curve"

    def apply(self, state: ReviewState) -> ReviewState:
        """Return the state without the mark."""
        gone = find_curve_mark(state, self.mark_id)
        return replace(state, curve_marks=without(state.curve_marks, gone))
