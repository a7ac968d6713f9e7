"""Changes of the marks on the force curve."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import ClassVar, Literal

from app.review.changes import KEEP, Change, Keep, edited
from app.review.check import readable
from app.review.curve_marks import CurveMark
from app.review.items import found, put, without
from app.review.marks import Point
from app.review.state import ReviewState

_Kept = Literal[Keep.KEEP]


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
    points: tuple[Point, ...] | _Kept = KEEP
    colour: str | _Kept = KEEP
    text: str | _Kept = KEEP
    stroke: int | _Kept | None = KEEP
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
