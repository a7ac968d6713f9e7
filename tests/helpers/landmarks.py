"""A kind of thing no review has: the whole of what adding one takes.

`tests/app/review/test_new_part.py` puts this beside the other parts, in a copy of the house.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any, ClassVar

from app.review.parts.change import Change
from app.review.values.errors import ReviewError
from app.review.values.part import Cells, Group, Part, Stored, Table, declare, to_lines, unique

if TYPE_CHECKING:
    from app.review.parts.state import ReviewState


@dataclass(frozen=True)
class Track:
    """Where one joint is, frame by frame, in video seconds and pixels."""

    id: str
    joint: str
    points: tuple[tuple[float, float, float], ...]


@dataclass(frozen=True)
class Landmarks:
    """The joints that were followed."""

    landmarks: tuple[Track, ...] = ()


LANDMARK = Table(
    "landmark",
    {
        "id": "TEXT NOT NULL",
        "place": "INTEGER NOT NULL",
        "joint": "TEXT NOT NULL",
        "points": "TEXT NOT NULL",
    },
    ("id",),
    asset="points",
    words=("followed joint", "followed joints"),
)


def _kept(track: Track) -> tuple[str, bytes]:
    data = to_lines(track.points)
    return hashlib.sha256(data).hexdigest(), data


def _group(track: Track, place: int) -> Group:
    return Group(
        track.id,
        track,
        lambda: [(LANDMARK, LANDMARK.row(track, place=place, points=_kept(track)[0]))],
        place,
        lambda: dict([_kept(track)]),
    )


def _groups(state: Landmarks) -> Iterable[Group]:
    return (_group(track, i) for i, track in enumerate(state.landmarks))


def _read(stored: Stored) -> Mapping[str, Any]:
    def point(told: Any) -> tuple[float, float, float]:
        at_s, x, y = map(float, told)
        return at_s, x, y

    def made(c: Cells) -> Track:
        points = stored.lines(c.text("points"), point, "points of a followed joint")
        return Track(c.text("id"), c.text("joint"), points)

    tracks = stored.each(LANDMARK, made, _check_one)
    return {"landmarks": unique(tracks, lambda t: t.id, "followed joints", stored.lenient)}


def _check_one(track: Track) -> None:
    if not track.joint:
        raise ReviewError("A followed joint has a name.")


def _check(state: Landmarks) -> None:
    for track in state.landmarks:
        _check_one(track)


def _retime(state: Landmarks, by: float) -> Mapping[str, Any]:
    return {
        "landmarks": tuple(
            replace(track, points=tuple((t * by, x, y) for t, x, y in track.points))
            for track in state.landmarks
        )
    }


PART = declare(Part(Landmarks, (LANDMARK,), _groups, _read, _check, _retime))


@dataclass(frozen=True)
class AddLandmarks(Change):
    """Keep where a joint is."""

    track: Track
    label: ClassVar[str] = "follow a joint"

    def apply(self, state: ReviewState) -> ReviewState:
        """Return the state with it."""
        return replace(state, landmarks=(*state.landmarks, self.track))
