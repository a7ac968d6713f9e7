"""Changes of the regions that are hidden in what is sent."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import ClassVar

from app.review.blur import BlurKey, BlurRegion, followed, placed
from app.review.changes import Change
from app.review.errors import ReviewError
from app.review.items import found, put, without
from app.review.state import ReviewState


def find_region(state: ReviewState, region_id: str) -> BlurRegion:
    """Return the region with an id; raises ReviewError when it is gone."""
    return found(state.blurs, region_id, "That blurred face is no longer in the review")


def _with(state: ReviewState, new: BlurRegion) -> ReviewState:
    return replace(state, blurs=put(state.blurs, new))


@dataclass(frozen=True)
class AddBlur(Change):
    """Hide a face (see `new_region`)."""

    region: BlurRegion
    label: ClassVar[str] = "blur face"

    def apply(self, state: ReviewState) -> ReviewState:
        """Return the state with one more region."""
        if not self.region.by_hand:
            raise ReviewError("A blurred region needs a place the coach marked.")
        return replace(state, blurs=(*state.blurs, self.region))


@dataclass(frozen=True)
class PlaceBlur(Change):
    """Say where a face is on a frame. Changes of one `gesture` are one undo step."""

    region_id: str
    key: BlurKey
    gesture: str = ""
    label: ClassVar[str] = "correct blur"

    def apply(self, state: ReviewState) -> ReviewState:
        """Return the state with the place; what was followed around it is forgotten."""
        return _with(state, placed(find_region(state, self.region_id), self.key))

    def merges_with(self, previous: Change) -> bool:
        """The steps of one drag merge, also with marking the face in the first place."""
        return self.goes_on_from(previous, "region_id")


@dataclass(frozen=True)
class FollowBlur(Change):
    """Take in where a face was followed to; one undo takes back the marking, too.

    Attributes
    ----------
    hand : the coach's places it was followed from; where they changed since, nothing is changed
    keys : where it was followed to
    unsure : spans in which it was not recognised
    """

    region_id: str
    hand: tuple[BlurKey, ...]
    keys: tuple[BlurKey, ...]
    unsure: tuple[tuple[float, float], ...] = ()
    label: ClassVar[str] = "blur face"
    is_work: ClassVar[bool] = False

    def apply(self, state: ReviewState) -> ReviewState:
        """Return the state with those places."""
        region = find_region(state, self.region_id)
        if region.by_hand != self.hand:
            return state
        return _with(state, followed(region, self.keys, self.unsure))

    def merges_with(self, previous: Change) -> bool:
        """Following belongs to the mark it starts from."""
        if isinstance(previous, AddBlur):
            return previous.region.id == self.region_id
        return (
            isinstance(previous, PlaceBlur | SpanBlur | FollowBlur)
            and previous.region_id == self.region_id
        )


@dataclass(frozen=True)
class SpanBlur(Change):
    """Hide a face in a span only; None for from the beginning, to the end."""

    region_id: str
    start_s: float | None
    end_s: float | None
    label: ClassVar[str] = "blur span"

    def apply(self, state: ReviewState) -> ReviewState:
        """Return the state with that span."""
        region = find_region(state, self.region_id)
        return _with(state, replace(region, start_s=self.start_s, end_s=self.end_s))


@dataclass(frozen=True)
class RemoveBlur(Change):
    """Show a face again."""

    region_id: str
    label: ClassVar[str] = "remove blur"

    def apply(self, state: ReviewState) -> ReviewState:
        """Return the state without the region."""
        gone = find_region(state, self.region_id)
        return replace(state, blurs=without(state.blurs, gone))
