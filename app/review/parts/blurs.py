"""Faces to hide in what is sent: where each is, on every frame it was marked or followed on."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, fields, replace
from functools import lru_cache
from typing import TYPE_CHECKING, Any, ClassVar

from app.review.parts.blur import (
    BlurKey,
    BlurRegion,
    check_blurs,
    followed,
    placed,
    stretched_regions,
)
from app.review.parts.change import Change
from app.review.values.errors import ReviewError
from app.review.values.items import found, put, without
from app.review.values.part import (
    MOST_LINES_OF_PART,
    Cells,
    Group,
    Part,
    Stored,
    Table,
    declare,
    to_lines,
    unique,
)

if TYPE_CHECKING:
    from app.review.parts.state import ReviewState


@dataclass(frozen=True)
class Blurs:
    """The faces to hide in everything that is sent."""

    blurs: tuple[BlurRegion, ...] = ()


REGION = Table(
    "blur_region",
    {
        "id": "TEXT NOT NULL",
        "place": "INTEGER NOT NULL",
        "start_s": "REAL",
        "end_s": "REAL",
        "path": "TEXT NOT NULL",
    },
    ("id",),
    asset="path",
    words=("blurred face", "blurred faces"),
)


@lru_cache(maxsize=16)
def _path(region: BlurRegion) -> tuple[str, bytes]:
    """The places of a region as an asset: its id, and one line of JSON a place or unsure span."""
    keys: list[object] = [[*map(float, key[:5]), int(key.by_hand)] for key in region.keyframes]
    data = to_lines([*keys, *({"unsure": span} for span in region.unsure)])
    return hashlib.sha256(data).hexdigest(), data


def _groups(state: Blurs) -> Iterable[Group]:
    for i, region in enumerate(state.blurs):
        yield _group(region, i)


def _group(region: BlurRegion, place: int) -> Group:
    return Group(
        region.id,
        region,
        lambda: [(REGION, REGION.row(region, place=place, path=_path(region)[0]))],
        place,
        lambda: dict([_path(region)]),
    )


def _read(stored: Stored) -> Mapping[str, Any]:
    regions = stored.each(REGION, lambda c: _region(c, stored), lambda r: check_blurs((r,)))
    return {"blurs": unique(regions, lambda region: region.id, "blurred faces", stored.lenient)}


def _region(c: Cells, stored: Stored) -> BlurRegion:
    keys: list[BlurKey] = []
    unsure: list[tuple[float, float]] = []
    for line in stored.lines(c.text("path"), _place_of, "places of a blurred face"):
        if isinstance(line, BlurKey):
            keys.append(line)
        else:
            unsure.append(line)
    span = (c.number_or_none("start_s"), c.number_or_none("end_s"))
    return BlurRegion(c.text("id"), tuple(keys), *span, tuple(unsure))


def _place_of(told: Any) -> BlurKey | tuple[float, float]:
    if isinstance(told, dict):
        first, last = told["unsure"]
        return float(first), float(last)
    *numbers, by_hand = told
    video_s, x, y, w, h = map(float, numbers)
    return BlurKey(video_s, x, y, w, h, bool(by_hand))


def _check(state: Blurs) -> None:
    unique(state.blurs, lambda region: region.id, "blurred faces", lenient=False)
    if sum(len(r.keyframes) + len(r.unsure) for r in state.blurs) > MOST_LINES_OF_PART:
        raise ReviewError("The blurred faces have more places than a review can keep.")
    for region in state.blurs:
        _check_region(region)


@lru_cache(maxsize=64)
def _check_region(region: BlurRegion) -> None:
    """A region has thousands of numbers and stays as it is while the coach types: once will do."""
    from app.review.parts.check import check_values

    for field in fields(region):
        check_values(getattr(region, field.name))
    check_blurs((region,))


def _retime(state: Blurs, by: float) -> Mapping[str, Any]:
    return {"blurs": stretched_regions(state.blurs, by)}


PART = declare(Part(Blurs, (REGION,), _groups, _read, _check, _retime))


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
