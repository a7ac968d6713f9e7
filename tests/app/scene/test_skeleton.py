"""The skeleton on the picture: what is known is drawn, and how sure it is can be seen."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from app.scene.picture_marks import MarkView
from app.scene.shapes import Circle, Line, Shape
from app.scene.skeleton import BONES, PALETTE, SURE, Joint, SkeletonLook, skeleton_shapes

LOOK = SkeletonLook(line=2.0, casing=5.0, dot=4.0, ring=1.0)
HALF = MarkView(lambda at: (0.5 * at[0] + 10.0, 0.5 * at[1]), 0.5)
BODY = {
    "ankle": Joint(100.0, 400.0, 3.0),
    "knee": Joint(180.0, 280.0, 3.0),
    "hip": Joint(300.0, 380.0, 3.0),
    "shoulder": Joint(320.0, 200.0, 3.0),
    "elbow": Joint(250.0, 220.0, 3.0),
    "wrist": Joint(180.0, 240.0, 3.0),
    "head": Joint(330.0, 140.0, 3.0),
}


def bones(shapes: list[Shape]) -> list[Line]:
    return [s for s in shapes if isinstance(s, Line) and s.ink == "bone"]


def rings(shapes: list[Shape], ink: str = "joint") -> list[Line]:
    return [s for s in shapes if isinstance(s, Line) and s.ink == ink]


def test_every_bone_and_joint_stands_where_it_is_seen() -> None:
    shapes = skeleton_shapes(BODY, HALF, LOOK)
    assert [b.points for b in bones(shapes)] == [
        (HALF.place(BODY[a].at), HALF.place(BODY[b].at)) for a, b in BONES
    ]
    dots = [(s.x, s.y) for s in shapes if isinstance(s, Circle)]
    assert sorted(dots) == sorted(HALF.place(joint.at) for joint in BODY.values())
    assert {s.ink for s in shapes if isinstance(s, Line | Circle)} <= set(PALETTE)


def test_what_is_not_known_is_left_out() -> None:
    without = {name: joint for name, joint in BODY.items() if name != "shoulder"}
    shapes = skeleton_shapes(without, HALF, LOOK)
    assert len(bones(shapes)) == 3  # to the hip, and the forearm
    assert len([s for s in shapes if isinstance(s, Circle)]) == 6
    assert skeleton_shapes({}, HALF, LOOK) == []


def test_a_ring_is_as_wide_as_the_doubt() -> None:
    unsure = BODY | {"elbow": replace(BODY["elbow"], sd_px=20.0)}
    (ring,) = rings(skeleton_shapes(unsure, HALF, LOOK))
    far = np.hypot(*(np.array(ring.points) - HALF.place(BODY["elbow"].at)).T)
    assert far == pytest.approx(SURE * 20.0 * HALF.scale)
    placed = BODY | {"elbow": replace(unsure["elbow"], by_hand=True)}
    shapes = skeleton_shapes(placed, HALF, LOOK)
    assert rings(shapes) == []
    assert [s.ink for s in shapes if isinstance(s, Circle)].count("hand") == 1


def test_bones_between_unsure_joints_are_dashed() -> None:
    unsure = BODY | {"wrist": replace(BODY["wrist"], sd_px=30.0)}
    dashed = [b for b in bones(skeleton_shapes(unsure, HALF, LOOK)) if b.dash]
    ends = (HALF.place(BODY["elbow"].at), HALF.place(BODY["wrist"].at))
    assert [b.points for b in dashed] == [ends]


def test_joints_that_are_asked_for_have_a_ring_of_their_own() -> None:
    shapes = skeleton_shapes(BODY, HALF, LOOK, ("knee", "hip"))
    assert len(rings(shapes, "asked")) == 2
