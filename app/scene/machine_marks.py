"""Points of the machine on the picture: a small square each, with its name."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from app.scene.picture_marks import MarkView
from app.scene.shapes import Palette, Rect, Shape, Text
from app.scene.skeleton import PALETTE as BODY
from app.scene.skeleton import Joint, SkeletonLook

NAMES: Final[Mapping[str, str]] = {
    "handle": "handle",
    "seat": "seat",
    "stretcher": "foot plate",
    "rail_end": "end of the rail",
    "wheel_centre": "centre of the flywheel",
    "front_foot_near": "front bar on the floor, near end",
    "front_foot_far": "front bar on the floor, far end",
    "rear_foot_near": "rear bar on the floor, near end",
    "rear_foot_far": "rear bar on the floor, far end",
}
PALETTE: Final[Palette] = {**BODY, "words": "#FFFFFF"}


def name_of(point: str) -> str:
    """A point by its name on screen; a joint is called what it is."""
    return NAMES.get(point, point)


def machine_shapes(
    points: Mapping[str, Joint], view: MarkView, look: SkeletonLook, letter: float
) -> list[Shape]:
    """Give points of the machine as shapes, in pixels of what they are drawn on.

    Parameters
    ----------
    letter : size of their names; 0 for none
    """
    shapes: list[Shape] = []
    side = 1.6 * look.dot
    for name, point in points.items():
        x, y = view.place(point.at)
        ink = "hand" if point.by_hand else "joint"
        edge = 0.5 * (look.casing - look.line)
        shapes.append(
            Rect(x - side / 2, y - side / 2, side, side, ink, edge="casing", edge_width=edge)
        )
        if letter > 0.0:
            at = x + side, y - 0.5 * side
            shapes.append(
                Text(*at, NAMES[name], letter, "words", halo="casing", halo_width=0.3 * letter)
            )
    return shapes
