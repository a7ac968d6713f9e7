"""The near side of an athlete on the picture: bones, joints, and how sure each of them is."""

from __future__ import annotations

import math
from collections.abc import Collection, Mapping
from dataclasses import dataclass
from typing import Final

import numpy as np

from analysis.body.track import POINTS, BodyTrack, Source
from app.review.parts.marks import CASING
from app.scene.picture_marks import MarkView
from app.scene.shapes import Circle, Line, Palette, Point, Shape

BONES: Final = (
    ("ankle", "knee"),
    ("knee", "hip"),
    ("hip", "shoulder"),
    ("shoulder", "elbow"),
    ("elbow", "wrist"),
    ("shoulder", "head"),
)
SHOWN: Final = tuple(dict.fromkeys(name for bone in BONES for name in bone))
_NEAR: Final = 0.75  # of a frame's time: further from it a track knows nothing of a moment
_LINE: Final = 0.0024  # width of a bone, share of a picture's longer side
# Apart from the colours a coach draws in, which are yellow, blue and red.
PALETTE: Final[Palette] = {
    "casing": CASING,
    "bone": "#3FD0A5",
    "joint": "#3FD0A5",
    "hand": "#FFFFFF",
    "asked": "#FFFFFF",
}
SURE: Final = 2.0  # standard deviations of a ring: a point lies in it 19 times of 20
UNSURE_SHARE: Final = 0.2  # of a bone's length: rings larger than this make it a dashed line
_CORNERS: Final = 40  # of a ring


@dataclass(frozen=True)
class Joint:
    """A point of the body on one frame.

    Attributes
    ----------
    x_px, y_px : video pixels
    sd_px : standard deviation of each
    by_hand : it was placed by a person on this frame
    """

    x_px: float
    y_px: float
    sd_px: float
    by_hand: bool = False

    @property
    def at(self) -> Point:
        """Where it is."""
        return self.x_px, self.y_px


@dataclass(frozen=True)
class SkeletonLook:
    """How large it is drawn, in pixels of what it is drawn on.

    Attributes
    ----------
    line, casing : widths of a bone, and of the dark line under it
    dot : radius of a joint
    ring : width of the ring around it
    """

    line: float
    casing: float
    dot: float
    ring: float


def skeleton_shapes(
    joints: Mapping[str, Joint], view: MarkView, look: SkeletonLook, asked: Collection[str] = ()
) -> list[Shape]:
    """Give bones and joints as shapes, in pixels of what they are drawn on.

    What is not known is not drawn. A ring shows where a joint may lie; a bone between joints that
    may lie far away is dashed; a joint placed by hand is white.

    Parameters
    ----------
    joints : those that are known, by name
    asked : joints a person is asked to place: they have a ring of their own
    """
    places = {name: view.place(joint.at) for name, joint in joints.items()}
    bones = [(a, b) for a, b in BONES if a in joints and b in joints]
    shapes: list[Shape] = []
    for a, b in bones:
        shapes.append(Line((places[a], places[b]), "casing", look.casing, (), 0.7))
    for a, b in bones:
        apart = math.dist(joints[a].at, joints[b].at)
        widest = SURE * max(joints[a].sd_px, joints[b].sd_px)
        dash = (2.4 * look.line, 2.0 * look.line) if widest > UNSURE_SHARE * apart else ()
        shapes.append(Line((places[a], places[b]), "bone", look.line, dash))
    for name, joint in joints.items():
        shapes += _joint(joint, places[name], view.scale, look, name in asked)
    return shapes


def joints_at(track: BodyTrack, time_s: float) -> dict[str, Joint]:
    """The joints of a track at a moment; none far from its frames."""
    if not len(track.time_s):
        return {}
    at = int(np.argmin(np.abs(track.time_s - time_s)))
    step = float(np.median(np.diff(track.time_s))) if len(track.time_s) > 1 else 0.04
    if abs(float(track.time_s[at]) - time_s) > _NEAR * step:
        return {}
    found: dict[str, Joint] = {}
    for name in SHOWN:
        k = POINTS.index(name)
        (x, y), sd = track.xy_px[at, k], track.sd_px[at, k]
        if np.isfinite((x, y, sd)).all():
            by_hand = track.source[at, k] == Source.HAND
            found[name] = Joint(float(x), float(y), float(sd), bool(by_hand))
    return found


def look_in(longer: float) -> SkeletonLook:
    """How it looks in a picture whose longer side has so many pixels."""
    line = max(1.5, _LINE * longer)
    return SkeletonLook(line, 2.2 * line, 1.6 * line, 0.45 * line)


def _joint(
    joint: Joint, place: Point, scale: float, look: SkeletonLook, asked: bool
) -> list[Shape]:
    shapes: list[Shape] = []
    reach = SURE * joint.sd_px * scale
    if not joint.by_hand and reach > look.dot + look.ring:
        shapes.append(Line(_ring(place, reach), "casing", 2.2 * look.ring, (), 0.55))
        shapes.append(Line(_ring(place, reach), "joint", look.ring))
    if asked:
        shapes.append(Line(_ring(place, 2.6 * look.dot), "asked", 1.6 * look.ring))
    ink = "hand" if joint.by_hand else "joint"
    return [*shapes, Circle(*place, look.dot, ink, "casing", 0.5 * (look.casing - look.line))]


def _ring(place: Point, radius: float) -> tuple[Point, ...]:
    x, y = place
    turns = (2.0 * math.pi * i / _CORNERS for i in range(_CORNERS + 1))
    return tuple((x + radius * math.cos(a), y + radius * math.sin(a)) for a in turns)
