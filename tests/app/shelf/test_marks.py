"""A mark drawn on one simulated athlete lies where it was meant on another, not where it was."""

from __future__ import annotations

import math
from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np
import pytest

from app.review.parts.body import new_click
from app.review.parts.curve_marks import new_curve_mark
from app.review.parts.marks import Point, new_mark
from app.review.parts.media import MediaRef
from app.review.parts.state import ReviewState
from app.shelf.explanation import KeptMark
from app.shelf.frames import SeenFrame, frame_at
from app.shelf.marks import kept_curve_mark, kept_mark, placed_curve_mark, placed_mark
from app.submission.body import LoadedBody, loaded_body
from app.submission.loaded_film import FilmFacts, LoadedFilm
from app.submission.submission import LoadedSubmission
from samples.camera import Camera
from samples.rower import Build
from tests.helpers.followed import track_of
from tests.helpers.rowed import rowed
from tests.helpers.submissions import submission_of

FILM = MediaRef("video", "v.mp4", 1, "aa")
TALL, SMALL = Camera(1280, 720), Camera(1920, 1080, "right")
AT_S = 3.0


@cache
def body(camera: Camera, stature_m: float, fault: str = "") -> LoadedBody:
    """Small noise: what following leaves."""
    track = track_of(rowed(fault, strokes=5), 0.002, camera=camera, build=Build(stature_m))
    return loaded_body(FILM, track, stature_m)


def seen(camera: Camera, stature_m: float, fault: str = "") -> SeenFrame:
    found = frame_at(sent(camera, body(camera, stature_m, fault)), AT_S)
    assert found is not None
    return found


def sent(camera: Camera, of: LoadedBody | None = None) -> LoadedSubmission:
    facts = FilmFacts(20.0, 30.0, camera.width, camera.height, False)
    film = LoadedFilm(FILM, None, known=facts)
    return LoadedSubmission(replace(ReviewState(), video=FILM), Path("a.review"), (film,), body=of)


def test_an_angle_at_the_joints_of_one_is_at_the_joints_of_the_other() -> None:
    """Another size, another camera, looking the other way, in another posture."""
    one, other = seen(TALL, 1.95), seen(SMALL, 1.60, "early-arms")
    names = ("shoulder", "hip", "knee")
    mark = new_mark("angle", [one.points[n] for n in names], AT_S)
    placed, by = placed_mark(kept_mark(mark, one, AT_S), other, 7.0)
    assert by == "body" and placed.video_s == 7.0
    for name, at in zip(names, placed.points_px, strict=True):
        assert math.dist(at, other.points[name]) < 0.01 * 1080
    # By the size of the picture alone it would lie somewhere else.
    bare = replace(kept_mark(mark, one, AT_S), on_body=())
    elsewhere, by = placed_mark(bare, other, 7.0)
    assert by == "picture"
    assert math.dist(elsewhere.points_px[1], other.points["hip"]) > 0.05 * 1080


def test_an_arrow_from_the_wrist_points_the_same_way_for_the_athlete() -> None:
    one, other = seen(TALL, 1.84), seen(SMALL, 1.60)
    assert one.facing == -other.facing
    x, y = one.points["wrist"]
    mark = new_mark("arrow", [(x, y), (x + 300.0 * one.facing, y - 60.0)], AT_S)
    placed, _by = placed_mark(kept_mark(mark, one, AT_S), other, AT_S)
    (x0, y0), (x1, y1) = placed.points_px
    assert math.dist((x0, y0), other.points["wrist"]) < 0.02 * 1080
    shanks = 300.0 / (one.shank_px or 1.0)
    assert (x1 - x0) * other.facing == pytest.approx(shanks * (other.shank_px or 0.0), rel=1e-6)
    assert y1 < y0


def test_what_is_drawn_around_something_keeps_its_shape() -> None:
    one, other = seen(TALL, 1.84), seen(SMALL, 1.60)
    x, y = one.points["head"]
    loop = [(x + 60 * math.cos(a), y + 60 * math.sin(a)) for a in np.linspace(0, 6, 20)]
    placed, _by = placed_mark(kept_mark(new_mark("freehand", loop, AT_S), one, AT_S), other, AT_S)
    middle = np.mean(placed.points_px, axis=0)
    away = [math.dist(point, middle) for point in placed.points_px]
    assert max(away) - min(away) < 0.2 * max(away)
    assert math.dist(middle, other.points["head"]) < 0.03 * 1080
    level = new_mark("level", [(x, y), (x + 200, y)], AT_S)
    (_x0, y0), (_x1, y1) = placed_mark(kept_mark(level, one, AT_S), other, AT_S)[0].points_px
    assert y0 == pytest.approx(y1)


def test_without_a_body_the_machine_carries_it_and_without_both_the_picture() -> None:
    def placed_rail(camera: Camera, feet: Point, end: Point) -> SeenFrame:
        clicks = (new_click(0.5, "stretcher", *feet), new_click(0.5, "rail_end", *end))
        bare = sent(camera)
        with_clicks = replace(bare, state=replace(bare.state, body_clicks=clicks))
        found = frame_at(with_clicks, AT_S)
        assert found is not None and not found.has_body
        return found

    one = placed_rail(TALL, (200.0, 600.0), (1000.0, 620.0))
    other = placed_rail(SMALL, (1700.0, 900.0), (700.0, 900.0))
    mark = new_mark("circle", [(200.0, 600.0), (1000.0, 620.0)], AT_S)
    kept = kept_mark(mark, one, AT_S)
    placed, by = placed_mark(kept, other, AT_S)
    assert by == "machine"
    assert placed.points_px[0] == pytest.approx((1700.0, 900.0))
    assert placed.points_px[1] == pytest.approx((700.0, 900.0))
    above = new_mark("text", [(600.0, 300.0)], AT_S)
    there = placed_mark(kept_mark(above, one, AT_S), other, AT_S)[0].points_px[0]
    assert there[1] < 900.0 and 700.0 < there[0] < 1700.0
    bare = frame_at(sent(SMALL), AT_S)
    assert bare is not None
    moved, by = placed_mark(kept, bare, AT_S)
    assert by == "picture"
    assert moved.points_px[0] == pytest.approx((300.0, 900.0))


def test_a_joint_that_is_not_seen_there_leaves_it_to_the_picture() -> None:
    one, other = seen(TALL, 1.84), seen(SMALL, 1.60)
    points = [one.points["wrist"], one.points["elbow"]]
    mark = kept_mark(new_mark("line", points, AT_S), one, AT_S)
    hidden = {name: at for name, at in other.points.items() if name != "elbow"}
    assert placed_mark(mark, replace(other, points=hidden), AT_S)[1] == "picture"


def test_a_span_begins_and_lasts_as_it_did_around_the_note() -> None:
    frame = SeenFrame((100.0, 100.0))
    span = new_mark("text", [(50.0, 50.0)], 2.9, 3.4)
    kept = kept_mark(span, frame, 3.0)
    placed, _by = placed_mark(kept, frame, 10.0)
    assert (placed.video_s, placed.end_s) == pytest.approx((9.9, 10.4))
    early, _by = placed_mark(kept, frame, 0.02)
    assert early.video_s == 0.0 and early.end_s == pytest.approx(0.5)


def test_a_moment_nobody_followed_has_no_points() -> None:
    of = body(TALL, 1.84)
    frame = frame_at(sent(TALL, of), 100.0)
    assert frame is not None and not frame.has_body
    assert frame_at(submission_of(), 1.0) is None


def test_marks_on_the_curve_go_by_drive_and_peak() -> None:
    mark = new_curve_mark("line", "time", [(20.0, 300.0), (40.0, 600.0)], stroke=3)
    kept = kept_curve_mark(mark, 600.0)
    assert kept.points == ((20.0, 0.5), (40.0, 1.0)) and kept.of_stroke
    placed = placed_curve_mark(kept, 450.0, 7)
    assert placed.points == ((20.0, 225.0), (40.0, 450.0)) and placed.stroke == 7
    every = replace(kept, of_stroke=False)
    assert placed_curve_mark(every, 450.0, 7).stroke is None


def test_a_mark_far_away_is_told_by_the_picture_alone() -> None:
    one = seen(TALL, 1.84)
    far = kept_mark(new_mark("text", [(1e6, 0.0)], AT_S), one, AT_S)
    assert far.on_body == () and isinstance(far, KeptMark)
