"""What does not move stands still: a creeping camera is taken out, and nothing else."""

from __future__ import annotations

import numpy as np
import pytest

from analysis.body.following.observed import steadied
from analysis.body.following.standing_still import held_still

FPS, WIDTH = 30.0, 1280
TIME_S = np.arange(0.0, 40.0, 1.0 / FPS)
POINTS = {"stretcher": (400.0, 500.0), "rail_end": (1050.0, 520.0), "wheel_centre": (250.0, 430.0)}


def crept(far_px: float, degrees: float = 0.0) -> np.ndarray:
    """(T, 2, 3) where the picture of the first frame lies in each frame."""
    share = TIME_S / TIME_S[-1]
    a = np.radians(degrees) * share
    turn = np.stack((np.cos(a), -np.sin(a), np.sin(a), np.cos(a)), axis=1).reshape(-1, 2, 2)
    middle = np.array((640.0, 360.0))
    shift = middle - turn @ middle + far_px * share[:, None] * (0.6, 0.8)
    return np.concatenate((turn, shift[:, :, None]), axis=2)


def seen(moved: np.ndarray, jitter: float = 0.15) -> dict[str, np.ndarray]:
    rng = np.random.default_rng(3)
    found = {}
    for name, at in POINTS.items():
        way = moved[:, :, :2] @ np.array(at) + moved[:, :, 2]
        found[name] = way + jitter * rng.normal(size=way.shape)
    return found


def left_over(moved: np.ndarray, steady: np.ndarray | None) -> float:
    """How far the athlete's hip moves that does not."""
    hip = np.array((700.0, 420.0))
    way = (moved[:, :, :2] @ hip + moved[:, :, 2])[:, None]
    still = steadied(way, steady)[:, 0]
    return float(np.hypot(*(still - still[0]).T).max())


@pytest.mark.parametrize("degrees", [0.0, 0.6])
def test_a_creep_of_five_pixels_is_taken_out(degrees: float) -> None:
    moved = crept(5.0, degrees)
    assert left_over(moved, None) > 4.0
    found = seen(moved)
    found["wheel_centre"][300:500] = np.nan  # a hand before it
    assert left_over(moved, held_still(TIME_S, None, found, WIDTH)) < 0.3


def test_one_point_takes_the_shift_out() -> None:
    moved = crept(5.0)
    one = {"stretcher": seen(moved)["stretcher"]}
    assert left_over(moved, held_still(TIME_S, None, one, WIDTH)) < 0.3


def test_what_the_scenery_told_stays_in() -> None:
    moved = crept(8.0, 0.4)
    scenery = np.repeat(np.eye(2, 3)[None], len(TIME_S), axis=0)
    scenery[:, 0, 2] = 2.0 * np.sin(TIME_S)  # and what it got wrong is put right
    known = np.linalg.inv(moved[:, :, :2])
    found = seen(moved)
    after = held_still(TIME_S, scenery, found, WIDTH)
    assert after is not None and known is not None
    # Slower than the two seconds a creep is read over is the scenery's slow error.
    assert left_over(moved, after) < 0.35 * left_over(moved, scenery)


def test_a_camera_that_stood_still_is_left_alone() -> None:
    assert held_still(TIME_S, None, seen(crept(0.0)), WIDTH) is None


def test_a_point_that_was_hardly_found_or_ran_away_says_nothing() -> None:
    found = seen(crept(5.0))
    hidden = {
        "rail_end": np.where(np.arange(len(TIME_S))[:, None] % 3 == 0, found["rail_end"], np.nan)
    }
    assert held_still(TIME_S, None, hidden, WIDTH) is None
    assert held_still(TIME_S, None, {}, WIDTH) is None
