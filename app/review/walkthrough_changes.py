"""Changes of a review's walkthroughs."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import ClassVar

from app.review.changes import Change
from app.review.check import readable
from app.review.errors import ReviewError
from app.review.items import found, put, without
from app.review.state import ReviewState
from app.review.walkthrough import SHORTEST_S, Caption, Cut, Timing, Walkthrough, check_score


def find_walk(state: ReviewState, walk_id: str) -> Walkthrough:
    """Return the walkthrough with an id; raises ReviewError when it is gone."""
    return found(state.walkthroughs, walk_id, "That walkthrough is no longer in the review")


def _with(state: ReviewState, walk: Walkthrough) -> ReviewState:
    return replace(state, walkthroughs=put(state.walkthroughs, walk))


@dataclass(frozen=True)
class AddWalkthrough(Change):
    """Keep a walkthrough that was recorded."""

    walk: Walkthrough
    label: ClassVar[str] = "walkthrough"

    def apply(self, state: ReviewState) -> ReviewState:
        """Return the state with the walkthrough after the others."""
        check_score(self.walk.score)
        walk = replace(self.walk, title=readable(self.walk.title))
        return replace(state, walkthroughs=(*state.walkthroughs, walk))


@dataclass(frozen=True)
class RenameWalkthrough(Change):
    """Give a walkthrough another title."""

    walk_id: str
    title: str
    label: ClassVar[str] = "name the walkthrough"

    def apply(self, state: ReviewState) -> ReviewState:
        """Return the state with that title."""
        walk = find_walk(state, self.walk_id)
        return _with(state, replace(walk, title=readable(self.title)))

    def merges_with(self, previous: Change) -> bool:
        """Typing a title is one undo step."""
        return isinstance(previous, RenameWalkthrough) and previous.walk_id == self.walk_id


@dataclass(frozen=True)
class DeleteWalkthrough(Change):
    """Take a walkthrough away; undo brings it back with its voice."""

    walk_id: str
    label: ClassVar[str] = "delete walkthrough"

    def apply(self, state: ReviewState) -> ReviewState:
        """Return the state without it."""
        gone = find_walk(state, self.walk_id)
        return replace(state, walkthroughs=without(state.walkthroughs, gone))


@dataclass(frozen=True)
class CutOut(Change):
    """Leave out a slip, seconds of the recording in either order."""

    walk_id: str
    from_s: float
    to_s: float
    label: ClassVar[str] = "cut out"

    def apply(self, state: ReviewState) -> ReviewState:
        """Return the state with the cut; raises ReviewError where nothing would be cut or left."""
        walk = find_walk(state, self.walk_id)
        first, last = sorted((self.from_s, self.to_s))
        cut = Cut(max(first, 0.0), min(last, walk.length_s))
        if cut.to_s - cut.from_s < SHORTEST_S:
            raise ReviewError("There is nothing to cut out between these moments.")
        cuts = tuple(sorted({*walk.cuts, cut}, key=lambda c: (c.from_s, c.to_s)))
        if Timing(walk.length_s, cuts).length_s < SHORTEST_S:
            raise ReviewError("Nothing would be left; delete the walkthrough instead.")
        return _with(state, replace(walk, cuts=cuts))


@dataclass(frozen=True)
class BringBack(Change):
    """Take back every cut that holds a second of the recording."""

    walk_id: str
    at_s: float
    label: ClassVar[str] = "bring back what was cut"

    def apply(self, state: ReviewState) -> ReviewState:
        """Return the state without those cuts; raises ReviewError where none lies there."""
        walk = find_walk(state, self.walk_id)
        cuts = tuple(c for c in walk.cuts if not c.from_s <= self.at_s <= c.to_s)
        if cuts == walk.cuts:
            raise ReviewError("Nothing was cut out there.")
        return _with(state, replace(walk, cuts=cuts))


@dataclass(frozen=True)
class SetCaption(Change):
    """Add a caption, change it, or take it away with no words. Typing is one undo step."""

    walk_id: str
    caption: Caption
    label: ClassVar[str] = "caption"

    def apply(self, state: ReviewState) -> ReviewState:
        """Return the state with the caption in its place in time."""
        walk = find_walk(state, self.walk_id)
        new = replace(self.caption, text=readable(self.caption.text))
        rest = [c for c in walk.captions if c.id != new.id]
        captions = (*rest, new) if new.text else tuple(rest)
        ordered = tuple(sorted(captions, key=lambda c: (c.from_s, c.to_s)))
        return _with(state, replace(walk, captions=ordered))

    def merges_with(self, previous: Change) -> bool:
        """Typing in one caption is one undo step."""
        return (
            isinstance(previous, SetCaption)
            and (previous.walk_id, previous.caption.id) == (self.walk_id, self.caption.id)
            and previous.caption.text != self.caption.text
        )


@dataclass(frozen=True)
class LeaveOutMark(Change):
    """Do not show a mark in a walkthrough, or show it again; in the review it stays."""

    walk_id: str
    mark_id: str
    out: bool = True
    label: ClassVar[str] = "leave a mark out"

    def apply(self, state: ReviewState) -> ReviewState:
        """Return the state with the mark left out, or not."""
        walk = find_walk(state, self.walk_id)
        rest = tuple(i for i in walk.left_out if i != self.mark_id)
        return _with(state, replace(walk, left_out=(*rest, self.mark_id) if self.out else rest))
