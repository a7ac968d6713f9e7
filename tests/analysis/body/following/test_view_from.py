"""How the camera stood, from bars on the floor seen by a pinhole camera written down anew."""

from __future__ import annotations

import numpy as np
import pytest

from analysis.body.following.view_from import view_from
from analysis.body.piece import analyse_body
from analysis.body.track import Click
from analysis.body.view_words import NO_FIXED_POINTS, view_said
from tests.analysis.body.following.test_estimate_view import (
    DEEP,
    HEIGHT,
    WIDTH,
    photograph,
    track_of,
    world,
)

# Bars on the floor, metres: X along the rail, Y up, Z towards the camera; half as long as any rule
# says, and not at the same places on both sides.
BARS = {
    "front_foot_near": (-0.95, -0.62, 0.29), "front_foot_far": (-0.95, -0.62, -0.24),
    "rear_foot_near": (0.90, -0.66, 0.22), "rear_foot_far": (0.90, -0.66, -0.27),
}  # fmt: skip
SIZE = (WIDTH, HEIGHT)


def clicked(
    yaw: float, tilt: float, names: tuple[str, ...] = tuple(BARS), seed: int | None = None,
    roll: float = 0.0,
) -> list[Click]:  # fmt: skip
    """Bars as a hand clicks them that is a pixel off."""
    y, t, r = np.radians((yaw, tilt, roll))
    rng = np.random.default_rng(seed)
    off = 0.0 if seed is None else 1.0
    at = photograph(np.array([BARS[n] for n in names]), y, t, r, 2.7)
    at = at + off * rng.normal(size=at.shape)
    return [Click(0.0, n, float(u), float(v)) for n, (u, v) in zip(names, at, strict=True)]


def body(yaw: float, tilt: float):
    y, t = np.radians((yaw, tilt))
    return track_of(photograph(world(DEEP), y, t, 0.0, 2.7))


@pytest.mark.parametrize(("yaw", "tilt"), [(0, 0), (8, 3), (-14, -5), (25, 4), (3, 9)])
def test_bars_on_the_floor_tell_yaw_and_tilt(yaw: float, tilt: float) -> None:
    track, inside = body(yaw, tilt), 0
    for seed in range(20):
        view = view_from(track, clicked(yaw, tilt, seed=seed), SIZE, stature_m=1.81)
        assert view is not None and view.yaw_rad is not None and view.tilt_rad is not None
        off = np.abs(np.degrees((view.yaw_rad, view.tilt_rad)) - (yaw, tilt))
        # The lens is a guess: this one is as far off as that of another telephone.
        assert off[0] < 1.5 + 0.08 * abs(yaw) and off[1] < 2.5
        sd = np.degrees((view.yaw_sd_rad, view.tilt_sd_rad))
        inside += int((off <= 2.0 * sd).sum())
    assert inside >= 34


def test_distance_comes_of_the_stature_and_depth_is_taken_out() -> None:
    view = view_from(body(10, 4), clicked(10, 4), SIZE, stature_m=1.81)
    assert view is not None and view.distance_m is not None and view.corrects
    assert view.distance_m == pytest.approx(2.7, rel=0.15)
    assert "Depth is taken out" in view_said(view)[0]


def test_a_camera_far_off_square_is_refused_with_its_angle() -> None:
    track = body(26, 0)
    view = view_from(track, clicked(26, 0), SIZE, stature_m=1.81)
    seen = analyse_body(track, view, 1.81)
    refused = [r for r in seen.remarks if "degrees from square" in r]
    assert refused and any(f"looks {n} degrees" in refused[0] for n in (25, 26, 27))
    assert np.isnan(seen.series.values("knee_rad")).all()


def test_one_bar_alone_does_not_tell_both() -> None:
    one = clicked(6, 0, ("front_foot_near", "front_foot_far"))
    view = view_from(body(6, 0), one, SIZE, stature_m=1.81)
    assert view is not None and view.tilt_rad is None
    assert not view.corrects


def test_without_a_bar_neither_yaw_nor_tilt_is_told() -> None:
    placed = [Click(0.0, "rail_end", 900.0, 430.0)]
    view = view_from(body(11, 0), placed, SIZE, stature_m=1.81)
    assert view is not None and view.yaw_rad is None and view.tilt_rad is None
    assert view.distance_m is not None and view_said(view) == (NO_FIXED_POINTS,)


def test_a_measured_rail_tells_the_distance() -> None:
    y = np.radians(5.0)
    ends = np.array(((-0.4, -0.1, 0.0), (0.7, -0.1, 0.0)))
    at = photograph(ends, y, 0.0, 0.0, 2.7)
    clicks = [
        Click(0.0, n, float(u), float(v))
        for n, (u, v) in zip(("stretcher", "rail_end"), at, strict=True)
    ]
    view = view_from(body(5, 0), clicks, SIZE, rail_m=1.1)
    assert view is not None and view.corrects
    assert view.distance_m == pytest.approx(2.7, rel=0.03)


def test_without_a_size_of_the_picture_nothing_is_told() -> None:
    assert view_from(body(5, 0), clicked(5, 0), None) is None
