"""Changes of the marks on the picture and of its scale."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import ClassVar, Literal

from app.review.changes import KEEP, Change, Keep, edited
from app.review.check import readable
from app.review.items import found, put, without
from app.review.marks import Mark, Point
from app.review.state import ReviewState

_Kept = Literal[Keep.KEEP]


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
    points_px: tuple[Point, ...] | _Kept = KEEP
    colour: str | _Kept = KEEP
    text: str | _Kept = KEEP
    video_s: float | _Kept = KEEP
    end_s: float | _Kept | None = KEEP
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
