"""Points in the side plane, against a pinhole camera written down here anew."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from analysis.body.following.estimate_view import SeatSizes, ViewError, estimate_view
from analysis.body.track import POINTS, BodyTrack
from analysis.body.view import DEPTH_M, View, alike, in_plane, squared
from tests.analysis.body.following.linkage import STATURE, rower

WIDTH, HEIGHT, FOCAL = 1280, 720, 1000.0
BODY_M = 1.81
# Depths of this athlete: not those the code guesses.
DEEP = {
    "ankle": 0.09, "knee": 0.15, "hip": 0.11, "shoulder": 0.17, "elbow": 0.29, "wrist": 0.21,
    "head": 0.06, "handle": 0.21, "seat": 0.12,
}  # fmt: skip


def world(depths: dict[str, float]) -> np.ndarray:
    """(T, K, 3) m, X right, Y up, Z towards the camera."""
    at = rower(6.0).xy_px
    metres = (at - (500.0, 380.0)) * (BODY_M / STATURE) * (1.0, -1.0)
    deep = np.broadcast_to([depths[n] for n in POINTS], metres.shape[:2])
    return np.concatenate((metres, deep[..., None]), axis=-1)


def photograph(
    points: np.ndarray, yaw: float, tilt: float, roll: float, distance: float
) -> np.ndarray:
    """Pixels of points. The camera stands at its distance on its own axis through the origin."""
    ahead = np.array((-np.sin(yaw) * np.cos(tilt), -np.sin(tilt), -np.cos(yaw) * np.cos(tilt)))
    right = np.cross(ahead, (0.0, 1.0, 0.0))
    right /= np.linalg.norm(right)
    down = np.cross(ahead, right)
    # Rolled so that level things fall to the right.
    right, down = (
        np.cos(roll) * right - np.sin(roll) * down,
        np.sin(roll) * right + np.cos(roll) * down,
    )
    off = points + distance * ahead
    deep = off @ ahead
    x = WIDTH / 2 + FOCAL * (off @ right) / deep
    return np.stack((x, HEIGHT / 2 + FOCAL * (off @ down) / deep), axis=-1)


def track_of(pixels: np.ndarray) -> BodyTrack:
    shape = pixels.shape[:2]
    time_s = np.arange(shape[0]) / 30.0
    return BodyTrack(time_s, pixels, np.full(shape, 1.0), np.ones(shape, np.uint8))


def angles(points: np.ndarray) -> np.ndarray:
    """(4, T) degrees at knee, hip, elbow, and of the trunk."""

    def of(a: str, b: str) -> np.ndarray:
        gap = points[:, POINTS.index(b), :2] - points[:, POINTS.index(a), :2]
        return np.degrees(np.arctan2(gap[:, 1], gap[:, 0]))

    corners = (
        ("knee", "ankle", "hip"),
        ("hip", "knee", "shoulder"),
        ("elbow", "shoulder", "wrist"),
    )
    out = [of(b, a) - of(b, c) for b, a, c in corners] + [of("hip", "shoulder")]
    return np.abs((np.array(out) + 180.0) % 360.0 - 180.0)


def square(**how: float) -> View:
    r = np.radians
    size = (WIDTH, HEIGHT)
    view = View(0.0, 0.0, 0.0, 2.6, size, FOCAL, r(3.0), r(1.0), 0.12, perspective="known")
    return replace(view, **how)


@pytest.mark.parametrize(
    ("yaw", "tilt", "roll"), [(0, 0, 0), (15, 0, 0), (-15, 6, 0), (8, -9, 4), (0, 0, -6)]
)
def test_a_known_view_gives_back_the_plane(yaw: float, tilt: float, roll: float) -> None:
    points = world(dict(DEPTH_M))
    y, t, r = np.radians((yaw, tilt, roll))
    view = square(yaw_rad=y, tilt_rad=t, roll_rad=r)
    pixels = photograph(points, y, t, r, 2.6)
    assert np.allclose(in_plane(pixels, view), points[..., :2], atol=1e-9)
    # Pixels of a square camera: as far apart, upwards negative.
    apart = (squared(pixels, view) - (WIDTH / 2, HEIGHT / 2)) * (1.0, -1.0) * 2.6 / FOCAL
    assert np.allclose(apart, points[..., :2], atol=1e-9)


def test_undoing_depth_brings_the_angles_back() -> None:
    """Depths, yaw, tilt and distance are all known only roughly."""
    rng = np.random.default_rng(6)
    points, y, t = world(DEEP), np.radians(12.0), np.radians(5.0)
    pixels, truth = photograph(points, y, t, 0.0, 2.5), angles(points)
    flat, undone = [], []
    for _ in range(10):
        view = square(
            yaw_rad=y + np.radians(3.0) * rng.normal(),
            tilt_rad=t + np.radians(1.0) * rng.normal(),
            distance_m=2.5 * (1.0 + 0.15 * rng.normal()),
        )
        flat.append(np.abs(angles(pixels) - truth))
        undone.append(np.abs(angles(squared(pixels, view)) - truth))
    assert np.median(undone) < 0.75 * np.median(flat)
    assert np.percentile(undone, 95) < np.percentile(flat, 95)


def test_what_may_be_otherwise_covers_what_is_wrong_with_the_angles() -> None:
    rng = np.random.default_rng(2)
    inside, doubts = [], []
    for _ in range(6):
        points = world({n: d + 0.03 * rng.normal() for n, d in DEPTH_M.items()})
        y = np.radians(8.0)
        pixels = photograph(points, y, 0.0, 0.0, 2.6)
        view = square(yaw_rad=y + np.radians(3.0) * rng.normal(), distance_m=2.6)
        own = angles(squared(pixels, view))
        sd = np.sqrt(sum(np.square(angles(xy) - own) for xy in alike(pixels, view)))
        inside.append(np.mean(np.abs(own - angles(points)) < 2.0 * sd))
        doubts.append(np.median(sd))
    assert np.mean(inside) > 0.9
    assert np.median(doubts) < 3.0


def test_a_stature_alone_widens_and_does_not_correct() -> None:
    track = track_of(photograph(world(DEEP), 0.0, 0.0, 0.0, 2.6))
    near = estimate_view(track, (WIDTH, HEIGHT), stature_m=BODY_M)
    assert near.distance_m is not None and not near.corrects
    assert squared(track.xy_px, near) is track.xy_px
    far = replace(near, distance_m=2.0 * near.distance_m)
    assert far.bias_rad("trunk_lean_rad") < 0.7 * near.bias_rad("trunk_lean_rad")
    lens = estimate_view(track, (WIDTH, HEIGHT), stature_m=BODY_M, focal_px=FOCAL)
    assert lens.corrects and lens.distance_sd_share < near.distance_sd_share


def test_yaw_is_read_from_the_seats_size_and_roll_from_its_way() -> None:
    y, r = np.radians(11.0), np.radians(2.0)
    x = np.linspace(-0.3, 0.4, 12)
    seat = np.stack((x, np.full_like(x, -0.25), np.full_like(x, 0.1)), axis=1)[:, None]
    ends = seat + np.array(((0.0, -0.05, 0.0), (0.0, 0.05, 0.0)))
    low, high = np.moveaxis(photograph(ends, y, 0.0, r, 2.6), 1, 0)
    middle = photograph(seat, y, 0.0, r, 2.6)[:, 0]
    noise = 1.0 + 0.004 * np.random.default_rng(1).normal(size=12)
    sizes = SeatSizes(middle[:, 0], middle[:, 1], np.hypot(*(high - low).T) * noise)
    track = track_of(photograph(world(DEEP), y, 0.0, r, 2.6))
    view = estimate_view(track, (WIDTH, HEIGHT), stature_m=BODY_M, seat=sizes, focal_px=FOCAL)
    assert np.degrees(view.yaw_rad) == pytest.approx(11.0, abs=2.5)
    assert abs(view.yaw_rad - y) < 2.5 * view.yaw_sd_rad
    assert np.degrees(view.roll_rad) == pytest.approx(2.0, abs=0.6)
    assert view.distance_m == pytest.approx(2.6, rel=0.06)


def test_the_outline_of_the_wheel_tells_a_large_yaw() -> None:
    track = track_of(photograph(world(DEEP), 0.0, 0.0, 0.0, 2.6))
    size = (WIDTH, HEIGHT)
    turned = estimate_view(track, size, wheel_px=(150.0 * np.cos(np.radians(25.0)), 150.0))
    assert np.degrees(turned.yaw_rad) == pytest.approx(25.0, abs=5.0)
    # Which side it is turned to the outline does not tell: only the doubt becomes another.
    some = estimate_view(track, size, wheel_px=(150.0 * np.cos(np.radians(15.0)), 150.0))
    assert some.yaw_rad == 0.0 and np.degrees(some.yaw_sd_rad) == pytest.approx(15.0)
    round_ = estimate_view(track, size, wheel_px=(150.0, 150.0))
    assert round_.yaw_rad == 0.0 and np.degrees(round_.yaw_sd_rad) < 4.0
    plain = estimate_view(track, size)
    assert plain.yaw_rad is None and np.degrees(plain.yaw_sd_rad) == pytest.approx(4.0)
    assert plain.distance_m is None and not plain.corrects


@pytest.mark.parametrize("how", ["stature", "length"])
def test_metres_come_from_stature_or_from_a_known_length(how: str) -> None:
    points = world(DEEP)
    track = track_of(photograph(points, 0.0, 0.0, 0.0, 2.6))
    ends = photograph(np.array(((-0.8, -0.3, 0.0), (0.9, -0.3, 0.0))), 0.0, 0.0, 0.0, 2.6)
    length = (tuple(ends[0]), tuple(ends[1]), 1.7)
    view = (
        estimate_view(track, (WIDTH, HEIGHT), stature_m=BODY_M)
        if how == "stature"
        else estimate_view(track, (WIDTH, HEIGHT), length=length)
    )
    way = in_plane(track.xy_px, view)[:, POINTS.index("hip"), 0]
    assert np.ptp(way) == pytest.approx(np.ptp(points[:, POINTS.index("hip"), 0]), rel=0.04)


@pytest.mark.parametrize(
    ("yaw", "tilt", "said"), [(24, 0, "24 degrees from square"), (0, -14, "14 degrees up or down")]
)
def test_a_view_too_far_from_square_is_refused_in_words(yaw: float, tilt: float, said: str) -> None:
    assert said in square(yaw_rad=np.radians(yaw), tilt_rad=np.radians(tilt)).refusal
    assert not square(yaw_rad=np.radians(19.5), tilt_rad=np.radians(-11.5)).refusal


def test_without_a_body_there_are_no_metres() -> None:
    empty = track_of(np.full((5, len(POINTS), 2), np.nan))
    with pytest.raises(ViewError, match="place hip, knee and ankle"):
        estimate_view(empty, (WIDTH, HEIGHT), stature_m=1.8)
