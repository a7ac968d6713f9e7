"""Angles, ways and their uncertainty from followed points."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from analysis.body.angles import BODY_LENGTHS, METRES
from analysis.body.from_track import (
    NO_HANDLE,
    NO_LOW_BACK,
    NO_SCALE,
    NOT_LEVEL,
    flexion,
    from_vertical,
    see_body,
    side_of_flywheel,
)
from analysis.body.lengths import BUILD_SD, KnownLength, body_pixels
from analysis.body.track import POINTS, BodyTrack
from analysis.body.view import DEPTH_M, FOCAL_OF_LONG_SIDE, View
from samples.camera import Camera
from samples.rower import move
from tests.helpers.followed import CAMERA, track_of
from tests.helpers.rowed import rowed


def without(track: BodyTrack, *names: str) -> BodyTrack:
    xy_px = track.xy_px.copy()
    xy_px[:, [POINTS.index(name) for name in names]] = np.nan
    return replace(track, xy_px=xy_px)


@pytest.mark.parametrize("facing", ["left", "right"])
def test_angles_are_those_of_the_linkage_from_either_side(facing) -> None:
    piece = rowed()
    track = track_of(piece, camera=Camera(1280, 720, facing))
    seen = see_body(track, stature_m=1.84)
    truth = move(piece, track.time_s)
    assert seen.flywheel == facing
    body = seen.series
    near = np.radians(0.01)
    np.testing.assert_allclose(body.knee_rad, truth.angles["knee"], atol=near)
    np.testing.assert_allclose(body.trunk_lean_rad, truth.angles["trunk"], atol=near)
    np.testing.assert_allclose(body.values("hip_rad"), np.pi - truth.angles["hip"], atol=near)
    # The wrist lies on the line from elbow to grip.
    np.testing.assert_allclose(body.elbow_rad, truth.angles["elbow"], atol=near)
    for name, at in (("handle_m", "handle"), ("seat_m", "seat"), ("shoulder_m", "shoulder")):
        way = truth.points[at][:, 0]
        np.testing.assert_allclose(
            body.values(name) - body.values(name)[0], way - way[0], rtol=0.02, atol=0.03
        )
    rises = truth.points["handle"][:, 1] - truth.points["hip"][:, 1]
    above = body.handle_height_m - body.values("hip_height_m")
    np.testing.assert_allclose(above, rises, atol=0.01)


def test_a_sound_stroke_lies_in_the_published_ranges() -> None:
    """Knee and lean at catch and finish: general literature.

    Excursion on a sliding seat: thorax 44-52 degrees (Bioengineering 2023;10:774, doi
    10.3390/bioengineering10070774); the line from hip to shoulder has the low back in it too.
    """
    body = see_body(track_of(rowed())).series
    knee, lean = np.degrees(body.knee_rad), np.degrees(body.trunk_lean_rad)
    assert 110.0 < knee.max() < 140.0 and 0.0 < knee.min() < 15.0
    assert 25.0 < lean.max() < 35.0 and -30.0 < lean.min() < -20.0
    assert 44.0 <= np.ptp(lean) <= 60.0
    shank = np.degrees(body.values("shank_rad"))
    assert -12.0 < shank.min() < 20.0, "upright at the catch"


def test_a_low_back_is_not_guessed() -> None:
    seen = see_body(track_of(rowed("back-rounds")))
    assert np.isnan(seen.series.lumbar_flexion_rad).all()
    assert NO_LOW_BACK in seen.remarks
    assert "lumbar_flexion_rad" not in seen.series.signals


def test_the_stated_deviation_is_that_of_many_draws() -> None:
    rng = np.random.default_rng(1)
    points = [np.array((0.0, 0.0)), np.array((60.0, 90.0)), np.array((170.0, 40.0))]
    sd = (2.0, 3.0, 4.0)
    drawn = [p + s * rng.normal(size=(20_000, 2)) for p, s in zip(points, sd, strict=True)]
    angles, _ = flexion(*drawn, tuple(np.full(20_000, s) for s in sd))
    _, said = flexion(*(p[None] for p in points), tuple(np.array([s]) for s in sd))
    assert said[0] == pytest.approx(np.std(angles), rel=0.03)
    leans, _ = from_vertical(drawn[0], drawn[1], (np.zeros(20_000), np.zeros(20_000)))
    _, told = from_vertical(points[0][None], points[1][None], (np.array([2.0]), np.array([3.0])))
    assert told[0] == pytest.approx(np.std(leans), rel=0.03)


def test_what_neighbours_share_is_not_counted_twice() -> None:
    """Errors with a common part at the joint and each of the outer points, drawn."""
    rng = np.random.default_rng(2)
    points = [np.array((0.0, 0.0)), np.array((60.0, 90.0)), np.array((170.0, 40.0))]
    sd, near, far = 3.0, 0.7, 0.5  # correlations of the joint with either side
    own = rng.normal(size=(3, 20_000, 2))
    joint = own[1]
    sides = (
        near * joint + np.sqrt(1 - near**2) * own[0],
        far * joint + np.sqrt(1 - far**2) * own[2],
    )
    drawn = [p + sd * e for p, e in zip(points, (sides[0], joint, sides[1]), strict=True)]
    deviations = tuple(np.full(20_000, sd) for _ in range(3))
    angles, said = flexion(*drawn, deviations, (near * sd**2, far * sd**2))
    assert np.median(said) == pytest.approx(np.std(angles), rel=0.03)
    leans, told = from_vertical(drawn[0], drawn[1], deviations[:2], near * sd**2)
    assert np.median(told) == pytest.approx(np.std(leans), rel=0.03)


def test_only_what_is_known_to_be_shared_narrows_an_angle() -> None:
    track = track_of(rowed(""), noise=0.002, bias=0.015)
    square = View(perspective="none")
    alone = see_body(track, square).series.sd
    shared = see_body(replace(track, shared_sd_px=0.8 * track.sd_px), square).series.sd
    for name, most in (("trunk_lean_rad", 0.85), ("elbow_rad", 0.85), ("hip_rad", 0.97)):
        assert np.median(shared[name]) < most * np.median(alone[name])
    for name in ("knee_rad", "shank_rad"):
        assert shared[name] == pytest.approx(alone[name])


def test_the_scale_is_the_surest_there_is() -> None:
    track = track_of(rowed())
    shares = see_body(track)
    assert shares.series.length_unit == BODY_LENGTHS and NO_SCALE in shares.remarks
    metres = see_body(track, stature_m=1.84)
    assert metres.series.length_unit == METRES and metres.series.length_sd == BUILD_SD
    known = see_body(track, stature_m=1.5, known=KnownLength(2.0, 2.0 * CAMERA.scale))
    way = np.ptp(move(rowed(), track.time_s).points["handle"][:, 0])
    assert np.ptp(known.series.handle_m) == pytest.approx(way, rel=1e-3)
    assert np.ptp(metres.series.handle_m) == pytest.approx(way, rel=0.02)
    assert np.ptp(shares.series.handle_m) == pytest.approx(way / 1.84, rel=0.02)
    assert known.series.length_sd < metres.series.length_sd
    assert body_pixels(track.xy_px) == pytest.approx(1.84 * CAMERA.scale, rel=0.02)


def test_gaps_stay_gaps_and_one_lost_point_takes_only_what_hangs_on_it() -> None:
    track = track_of(rowed())
    xy_px = track.xy_px.copy()
    xy_px[50:70, POINTS.index("elbow")] = np.nan
    body = see_body(replace(track, xy_px=xy_px)).series
    assert np.isnan(body.elbow_rad[50:70]).all() and np.isnan(body.elbow_rad).sum() == 20
    assert np.isfinite(body.knee_rad).all()


def test_what_stands_for_what_is_said() -> None:
    seen = see_body(without(track_of(rowed()), "handle", "seat"))
    assert NO_HANDLE in seen.remarks and NOT_LEVEL in seen.remarks
    assert np.isfinite(seen.series.handle_m).all()
    assert "handle_speed_m_s" not in seen.series.signals
    nothing = see_body(without(track_of(rowed()), *POINTS))
    assert len(nothing.series.signals) == 0 and nothing.scale is None


def test_a_camera_that_creeps_and_rolls_moves_no_angle_and_no_height() -> None:
    piece = rowed(strokes=20)
    track = track_of(piece)
    share = np.linspace(0.0, 1.0, len(track.time_s))
    roll = np.radians(2.0) * share
    cos, sin = np.cos(roll)[:, None], np.sin(roll)[:, None]
    x, y = track.xy_px[..., 0], track.xy_px[..., 1]
    crept = np.stack((cos * x - sin * y, sin * x + cos * y), axis=2)
    crept[..., 1] += 8.0 * share[:, None]
    body = see_body(replace(track, xy_px=crept), stature_m=1.84).series
    truth = move(piece, track.time_s)
    off = np.degrees(body.trunk_lean_rad - truth.angles["trunk"])
    assert np.abs(off).max() < 0.4
    # Two centimetres of creep; the line of the seat takes out all but a fifth.
    height = body.handle_height_m - truth.points["handle"][:, 1]
    assert np.ptp(np.convolve(height, np.ones(75) / 75.0, "valid")) < 0.006


def test_a_hand_that_shakes_is_taken_out() -> None:
    piece = rowed()
    still, shaken = track_of(piece), track_of(piece, shake=3.0)
    one, other = (see_body(t, stature_m=1.84).series for t in (still, shaken))
    np.testing.assert_allclose(one.handle_m, other.handle_m, atol=1e-3)


def test_the_handles_speed_is_that_of_the_piece() -> None:
    piece = rowed()
    track = track_of(piece, fps=60.0)
    seen = see_body(track, known=KnownLength(1.0, CAMERA.scale)).series
    speed = np.interp(track.time_s, piece.time_s, np.gradient(piece.handle_m, piece.time_s))
    off = seen.values("handle_speed_m_s") - speed
    # A cubic through a fifth of a second rounds the turns off, where speed changes at once.
    assert np.sqrt(np.nanmean(off**2)) < 0.08 * speed.max()
    assert np.nanmax(seen.values("handle_speed_m_s")) == pytest.approx(speed.max(), rel=0.05)


def pinhole(piece, yaw_deg: float, distance_m: float) -> BodyTrack:
    """The linkage, each joint at its own depth, through a lens of 65 degrees or so."""
    flat = track_of(piece)
    truth = move(piece, flat.time_s)
    focal, yaw = FOCAL_OF_LONG_SIDE * 1280.0, np.radians(yaw_deg)
    xy = []
    for name in POINTS:
        x = truth.points[name][:, 0] - 0.9
        y = 0.45 - truth.points[name][:, 1]
        z = np.full_like(x, distance_m - DEPTH_M[name])
        # The camera is turned to the right: the world turns to the left before it.
        along, away = x * np.cos(yaw) - z * np.sin(yaw), x * np.sin(yaw) + z * np.cos(yaw)
        xy.append(np.stack((focal * along / away + 639.5, focal * y / away + 359.5), axis=1))
    return replace(flat, xy_px=np.stack(xy, axis=1))


@pytest.mark.parametrize("yaw_deg", [0.0, 12.0, -8.0])
def test_perspective_is_taken_out_where_the_camera_is_known(yaw_deg) -> None:
    piece = rowed()
    track = pinhole(piece, yaw_deg, 2.5)
    truth = move(piece, track.time_s)
    # Turned to the right, the camera has what is to the left nearer.
    yaw = -np.radians(yaw_deg)
    view = View(
        yaw, 0.0, None, 2.5 / np.cos(yaw), (1280, 720), yaw_sd_rad=np.radians(3.0),
        tilt_sd_rad=np.radians(1.0), perspective="known",
    )  # fmt: skip
    names = {"knee_rad": "knee", "elbow_rad": "elbow", "trunk_lean_rad": "trunk"}
    blind, knowing = see_body(track, View(yaw)).series, see_body(track, view).series
    for name, own in names.items():
        off = [np.degrees(np.sqrt(np.mean((b.values(name) - truth.angles[own]) ** 2)))
               for b in (blind, knowing)]  # fmt: skip
        assert off[1] < 0.3
        assert name == "knee_rad" or off[0] > 1.0, "depth alone is worth degrees"
        assert np.degrees(np.median(blind.sd[name])) > 0.5 * off[0]
        left = np.degrees(np.median(knowing.sd[name]))
        assert 0.2 < left < np.degrees(np.median(blind.sd[name])), "what is guessed leaves doubt"


def test_a_slanting_camera_is_refused() -> None:
    seen = see_body(track_of(rowed()), View(yaw_rad=np.radians(25.0)))
    assert any("25 degrees from square" in said for said in seen.remarks)
    assert np.isnan(seen.series.knee_rad).all() and np.isfinite(seen.series.handle_m).all()


def test_points_of_which_no_deviation_is_told_are_not_taken_for_sure() -> None:
    track = track_of(rowed())
    untold = see_body(replace(track, sd_px=np.full_like(track.sd_px, np.nan))).series
    told = see_body(track).series
    for name in ("knee_rad", "elbow_rad", "trunk_lean_rad"):
        assert np.degrees(np.nanmedian(untold.sd[name])) > 2.0
        assert np.nanmedian(untold.sd[name]) > np.nanmedian(told.sd[name])


def test_a_side_that_cannot_be_told_is_none() -> None:
    assert side_of_flywheel(np.full((4, len(POINTS), 2), np.nan)) is None


def test_points_all_but_upon_each_other_have_no_direction() -> None:
    track = track_of(rowed())
    xy_px = track.xy_px.copy()
    xy_px[5:9, POINTS.index("knee")] = 0.0
    xy_px[5:9, POINTS.index("hip")] = (1e-160, 0.0)
    seen = see_body(replace(track, xy_px=xy_px)).series
    assert np.isnan(seen.knee_rad[5:9]).all() and np.isfinite(seen.knee_rad[12:]).all()
