"""Marks on the picture, and how long a pixel is.

Places are video pixels of the upright source picture, before the coach's own turn and mirror:
(0, 0) is its upper left corner, and the middle of the first pixel lies at (0.5, 0.5).
"""

from __future__ import annotations

import uuid
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any, ClassVar, Final

from app.review.parts.change import KEEP, Change, Kept, edited
from app.review.values.errors import ReviewError
from app.review.values.items import found, put, without
from app.review.values.part import Cells, Group, Part, Rows, Stored, Table, declare, ready, unique
from app.review.values.text import readable

if TYPE_CHECKING:
    from app.review.parts.state import ReviewState

Point = tuple[float, float]
# How many points each kind has; freehand has two or more.
POINTS_OF: Final = {
    "line": 2,
    "arrow": 2,
    "freehand": 0,
    "circle": 2,
    "angle": 3,
    "plumb": 2,
    "level": 2,
    "text": 1,
    "distance": 2,
}
MARK_KINDS: Final = tuple(POINTS_OF)

# Three of the Okabe-Ito set that stay apart for every kind of colour vision. Painters lay them on
# a dark casing, so that they read on light footage too.
MARK_COLOURS: Final = {"yellow": "#f0e442", "blue": "#56b4e9", "red": "#d55e00"}
CASING: Final = "#14181a"


@dataclass(frozen=True)
class Mark:
    """One mark on the picture.

    Attributes
    ----------
    id : never changes
    kind : one of MARK_KINDS
    points_px : video pixels of the upright source picture. Circle: two opposite corners of the box
        around it. Angle: end of one arm, vertex, end of the other arm
    colour : one of MARK_COLOURS
    text : words of a text mark
    video_s : the moment whose frame it stands on, or the start of its span
    end_s : the end of its span, None for one frame
    """

    id: str
    kind: str
    points_px: tuple[Point, ...]
    colour: str = "yellow"
    text: str = ""
    video_s: float = 0.0
    end_s: float | None = None


def new_mark(
    kind: str,
    points_px: Iterable[Point],
    video_s: float,
    end_s: float | None = None,
    colour: str = "yellow",
    text: str = "",
) -> Mark:
    """Return a mark with an id of its own."""
    points = tuple((float(x), float(y)) for x, y in points_px)
    return Mark(uuid.uuid4().hex, kind, points, colour, text, video_s, end_s)


def stretched(marks: tuple[Mark, ...], by: float) -> tuple[Mark, ...]:
    """The same marks on another video clock."""
    return tuple(
        replace(m, video_s=m.video_s * by, end_s=None if m.end_s is None else m.end_s * by)
        for m in marks
    )


def check_marks(marks: tuple[Mark, ...], metres_per_px: float | None) -> None:
    """Refuse marks that no painter can draw.

    Raises
    ------
    ReviewError
        An unknown kind or colour, a wrong number of points, a span that ends before it starts,
        two marks with one id, or a scale that is not above zero.
    """
    if len({mark.id for mark in marks}) != len(marks):
        raise ReviewError("Two marks share one id.")
    for mark in marks:
        if mark.kind not in POINTS_OF:
            raise ReviewError("There is no such kind of mark.")
        if mark.colour not in MARK_COLOURS:
            raise ReviewError("There is no such colour for a mark.")
        wanted = POINTS_OF[mark.kind]
        if len(mark.points_px) != wanted and (wanted or len(mark.points_px) < 2):
            raise ReviewError(f"A mark of the kind {mark.kind} has another number of points.")
        if mark.end_s is not None and mark.end_s < mark.video_s:
            raise ReviewError("A mark cannot end before it starts.")
    if metres_per_px is not None and not metres_per_px > 0:
        raise ReviewError("A scale is a length above zero.")


@dataclass(frozen=True)
class Marks:
    """What is drawn on the picture.

    Attributes
    ----------
    marks : the later over the earlier
    metres_per_px : length of a video pixel in the plane of the movement, None while not known
    """

    marks: tuple[Mark, ...] = ()
    metres_per_px: float | None = None


MARK = Table(
    "mark",
    {
        "id": "TEXT NOT NULL",
        "place": "INTEGER NOT NULL",
        "kind": "TEXT NOT NULL",
        "colour": "TEXT NOT NULL",
        "text": "TEXT NOT NULL",
        "video_s": "REAL NOT NULL",
        "end_s": "REAL",
    },
    ("id",),
    words=("mark", "marks"),
)
POINT = Table(
    "mark_point",
    {
        "mark_id": "TEXT NOT NULL",
        "place": "INTEGER NOT NULL",
        "x_px": "REAL NOT NULL",
        "y_px": "REAL NOT NULL",
    },
    ("mark_id", "place"),
    words=("point of a mark", "points of marks"),
    counted=False,
)
SCALE = Table(
    "scale",
    {"id": "INTEGER NOT NULL CHECK (id = 1)", "metres_per_px": "REAL NOT NULL"},
    ("id",),
    words=("scale", "scales"),
    counted=False,
)


def _groups(state: Marks) -> Iterable[Group]:
    for i, mark in enumerate(state.marks):
        yield Group(f"mark {mark.id}", mark, lambda mark=mark, i=i: _rows(mark, i), i)  # type: ignore[misc]
    if state.metres_per_px is not None:
        row = (SCALE, SCALE.row(state, id=1))
        yield ready("scale", state.metres_per_px, row)


def _rows(mark: Mark, place: int) -> Rows:
    points = [
        (POINT, POINT.row(mark_id=mark.id, place=i, x_px=x, y_px=y))
        for i, (x, y) in enumerate(mark.points_px)
    ]
    return [(MARK, MARK.row(mark, place=place)), *points]


def _read(stored: Stored) -> Mapping[str, Any]:
    points = stored.by(POINT, "mark_id", lambda c: (c.number("x_px"), c.number("y_px")))
    marks = stored.each(MARK, lambda c: _mark(c, points), _check_mark)
    return {
        "marks": unique(marks, lambda mark: mark.id, "marks", stored.lenient),
        "metres_per_px": stored.one(SCALE, lambda c: c.number_or_none("metres_per_px"), None),
    }


def _mark(c: Cells, points: Mapping[str, list[Point]]) -> Mark:
    return Mark(
        c.text("id"),
        c.text("kind"),
        tuple(points.get(c.text("id"), ())),
        c.text("colour"),
        c.text("text"),
        c.number("video_s"),
        c.number_or_none("end_s"),
    )


def _check(state: Marks) -> None:
    check_marks(state.marks, state.metres_per_px)


def _check_mark(mark: Mark) -> None:
    check_marks((mark,), None)


def _retime(state: Marks, by: float) -> Mapping[str, Any]:
    return {"marks": stretched(state.marks, by)}


PART = declare(Part(Marks, (MARK, POINT, SCALE), _groups, _read, _check, _retime))


def find_mark(state: ReviewState, mark_id: str) -> Mark:
    """Return the mark with an id; raises ReviewError when it is gone."""
    return found(state.marks, mark_id, "That mark is no longer in the review")


@dataclass(frozen=True)
class AddMark(Change):
    """Draw a new mark (see `new_mark`)."""

    mark: Mark
    label: ClassVar[str] = "draw"

    def apply(self, state: ReviewState) -> ReviewState:
        """Return the state with the mark on top of the others."""
        mark = replace(self.mark, text=readable(self.mark.text))
        return replace(state, marks=(*state.marks, mark))


@dataclass(frozen=True)
class EditMark(Change):
    """Change one mark; what is KEEP stays. Changes of one `gesture` are one undo step."""

    mark_id: str
    points_px: tuple[Point, ...] | Kept = KEEP
    colour: str | Kept = KEEP
    text: str | Kept = KEEP
    video_s: float | Kept = KEEP
    end_s: float | Kept | None = KEEP
    gesture: str = ""
    label: ClassVar[str] = "change mark"

    def apply(self, state: ReviewState) -> ReviewState:
        """Return the state with the mark changed, in its place among the others."""
        new = edited(find_mark(state, self.mark_id), self)
        return replace(state, marks=put(state.marks, new))

    def merges_with(self, previous: Change) -> bool:
        """The steps of one drag merge."""
        return self.goes_on_from(previous, "mark_id")


@dataclass(frozen=True)
class DeleteMark(Change):
    """Take a mark away."""

    mark_id: str
    label: ClassVar[str] = "delete mark"

    def apply(self, state: ReviewState) -> ReviewState:
        """Return the state without the mark."""
        gone = find_mark(state, self.mark_id)
        return replace(state, marks=without(state.marks, gone))


@dataclass(frozen=True)
class CopyMark(Change):
    """Draw a mark again on another frame; the copy stands on that frame only."""

    mark_id: str
    new_id: str
    video_s: float
    label: ClassVar[str] = "copy mark"

    def apply(self, state: ReviewState) -> ReviewState:
        """Return the state with the copy on top."""
        old = find_mark(state, self.mark_id)
        copy = replace(old, id=self.new_id, video_s=self.video_s, end_s=None)
        return replace(state, marks=(*state.marks, copy))


@dataclass(frozen=True)
class SetScale(Change):
    """Say how many metres a video pixel is in the plane of the movement, or forget it with None."""

    metres_per_px: float | None
    label: ClassVar[str] = "scale"

    def apply(self, state: ReviewState) -> ReviewState:
        """Return the state with that scale."""
        return replace(state, metres_per_px=self.metres_per_px)

    def merges_with(self, previous: Change) -> bool:
        """Typing a length is one undo step."""
        return isinstance(previous, SetScale)
