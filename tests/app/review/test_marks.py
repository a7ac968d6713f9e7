"""Geometry of marks, and what a review refuses."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.media.orientation import Turn
from app.review.file.store import read_review
from app.review.mark_shapes import (
    angle_deg,
    distance_to,
    measure_text,
    named,
    shape_of,
    shown_marks,
    straightened,
    thinned,
    turned,
)
from app.review.parts.marks import (
    MARK_KINDS,
    POINTS_OF,
    AddMark,
    CopyMark,
    EditMark,
    Mark,
    SetScale,
    new_mark,
)
from app.review.parts.media import MediaRef, SetCaptureRate, SetVideo
from app.review.parts.state import ReviewState
from app.review.review import Review
from app.review.values.errors import ReviewError

coordinates = st.floats(-3000, 3000)
points = st.tuples(coordinates, coordinates)
quarters = st.integers(0, 3)
SIZE = (1920.0, 1080.0)


@pytest.mark.parametrize("quarter", range(4))
@pytest.mark.parametrize("mirrored", [False, True])
def test_a_place_turns_as_the_picture_does(quarter: int, mirrored: bool) -> None:
    image = np.zeros((5, 9, 1), np.uint8)
    image[3, 7] = 255
    shown = Turn(quarter, mirrored).apply(image)
    x, y = turned((7.5, 3.5), (9, 5), quarter, mirrored)
    assert shown[int(y), int(x), 0] == 255


@given(st.lists(points, min_size=3, max_size=3, unique=True), quarters, st.booleans())
def test_turn_and_mirror_leave_an_angle(
    three: list[tuple[float, float]], quarter: int, mirrored: bool
) -> None:
    arms = math.dist(three[0], three[1]), math.dist(three[1], three[2])
    if min(arms) < 1.0:
        return
    there = [turned(p, SIZE, quarter, mirrored) for p in three]
    assert angle_deg(there) == pytest.approx(angle_deg(three), abs=1e-4)


@given(st.floats(0, 180), st.floats(0, 360), st.floats(1, 500), st.floats(1, 500))
def test_an_angle_is_what_was_laid_out(opening: float, lean: float, one: float, two: float) -> None:
    a, b = math.radians(lean), math.radians(lean + opening)
    three = [
        (50 + one * math.cos(a), 60 + one * math.sin(a)),
        (50.0, 60.0),
        (50 + two * math.cos(b), 60 + two * math.sin(b)),
    ]
    assert angle_deg(three) == pytest.approx(opening, abs=1e-5)


@given(points, points, quarters, st.booleans(), st.sampled_from([0, 1]))
def test_plumb_is_upright_and_level_is_level_as_seen(
    a: tuple[float, float], b: tuple[float, float], quarter: int, mirrored: bool, moved: int
) -> None:
    for kind, axis in (("plumb", 0), ("level", 1)):
        made = straightened(kind, (a, b), quarter, moved)
        one, two = (turned(p, SIZE, quarter, mirrored) for p in made)
        assert one[axis] == two[axis]
        assert made[1 - moved] == (a, b)[1 - moved]
    assert straightened("line", (a, b), quarter) == (a, b)


def test_a_distance_needs_a_scale_to_be_in_metres() -> None:
    mark = new_mark("distance", [(0, 0), (300, 400)], 1.0)
    assert measure_text(mark, None) == "500 px"
    assert measure_text(mark, 0.004) == "2.00 m"
    angle = new_mark("angle", [(10, 0), (0, 0), (0, 10)], 1.0)
    assert named([angle, mark], 0.004) == ("an angle of 90°", "a distance of 2.00 m")


def test_a_moment_stands_on_its_frame_only_and_a_span_throughout() -> None:
    moment = new_mark("line", [(0, 0), (1, 1)], 0.10)
    span = new_mark("line", [(0, 0), (1, 1)], 0.10, 0.20)

    def frame_at(time_s: float) -> int:
        return int(time_s * 30 + 1e-6)

    assert [len(shown_marks((moment, span), i, frame_at)) for i in range(2, 8)] == [
        0, 2, 1, 1, 1, 0,
    ]  # fmt: skip


@given(st.sampled_from(MARK_KINDS), st.data())
def test_every_kind_has_a_shape_that_can_be_hit(kind: str, data: st.DataObject) -> None:
    count = POINTS_OF[kind] or 5
    made = new_mark(kind, data.draw(st.lists(points, min_size=count, max_size=count)), 0.0)
    shape = shape_of(made, None, 20.0)
    assert all(math.isfinite(v) for run in shape.runs for p in run for v in p)
    if kind == "circle":
        (ax, ay), (bx, by) = made.points_px
        assert distance_to(((ax + bx) / 2, max(ay, by)), shape.runs) < 1.0
    elif kind != "text":
        assert all(distance_to(p, shape.runs) < 1e-3 for p in made.points_px)


@given(st.lists(points, min_size=2, max_size=40), st.floats(0.1, 20))
def test_thinning_stays_within_its_tolerance(
    many: list[tuple[float, float]], tolerance: float
) -> None:
    few = thinned(many, tolerance)
    assert (few[0], few[-1]) == (many[0], many[-1])
    assert all(distance_to(p, [few]) <= tolerance + 1e-6 for p in many)


@pytest.mark.parametrize(
    "mark",
    [
        Mark("a", "star", ((0, 0), (1, 1))),
        Mark("a", "line", ((0, 0),)),
        Mark("a", "angle", ((0, 0), (1, 1))),
        Mark("a", "freehand", ((0, 0),)),
        Mark("a", "line", ((0, 0), (math.nan, 1))),
        Mark("a", "line", ((0, 0), (1, 1)), "grey"),
        Mark("a", "line", ((0, 0), (1, 1)), video_s=2.0, end_s=1.0),
    ],
)
def test_what_no_painter_can_draw_is_refused(mark: Mark) -> None:
    review = Review(ReviewState())
    with pytest.raises(ReviewError):
        review.do(AddMark(mark))
    assert review.state.marks == ()


def test_a_drag_is_one_undo_step_and_everything_is_in_the_file(tmp_path: Path) -> None:
    path = tmp_path / "a.review"
    review = Review.create(path, ReviewState())
    mark = new_mark("line", [(1, 2), (3, 4)], 1.0)
    review.do(AddMark(mark))
    for x in (5.0, 6.0, 7.0):
        review.do(EditMark(mark.id, points_px=((1.0, 2.0), (x, 4.0)), gesture="drag 1"))
    review.do(CopyMark(mark.id, "b", 2.0))
    review.do(SetScale(0.003))
    assert read_review(path) == review.state
    assert [m.points_px[1] for m in review.state.marks] == [(7.0, 4.0)] * 2
    for _ in range(3):
        review.undo()
    assert review.state.marks == (mark,) and review.state.metres_per_px is None


def test_marks_follow_the_clock_and_the_scale_goes_with_its_film() -> None:
    film = MediaRef("video", "a.mp4", 1, "aa")
    mark = new_mark("line", [(1, 2), (3, 4)], 2.0, 3.0)
    state = ReviewState(video=film, marks=(mark,), metres_per_px=0.01)
    slow = SetCaptureRate(240.0, 0.125).apply(state)
    assert (slow.marks[0].video_s, slow.marks[0].end_s) == (0.25, 0.375)
    assert SetVideo(MediaRef("video", "b.mp4", 1, "aa")).apply(state).metres_per_px == 0.01
    assert SetVideo(MediaRef("video", "b.mp4", 1, "bb")).apply(state).metres_per_px is None
