"""A turn is placed by the drive beside it, whose speed is only known with jitter."""

from __future__ import annotations

import numpy as np
import pytest

from analysis.body.turns import fine_turns, rough_turns

FPS, DRIVE_S, REST_S, WAY_M = 30.0, 0.9, 1.3, 1.4


def strokes(slower: float) -> tuple[np.ndarray, np.ndarray, float]:
    """Time and way of seven strokes, the fourth drive of which is slower; when that one turns."""
    drives = [DRIVE_S * (1.0 + slower if k == 3 else 1.0) for k in range(7)]
    begins = np.cumsum([0.5, *(drive + REST_S for drive in drives)])
    time_s = np.arange(0.0, begins[-1], 1.0 / FPS)
    where = np.zeros(len(time_s))
    for begin, drive in zip(begins[:-1], drives, strict=True):
        out = np.clip((time_s - begin) / drive, 0.0, 1.0)
        back = np.clip((time_s - begin - drive) / REST_S, 0.0, 1.0)
        where += 0.5 * WAY_M * (np.cos(np.pi * back) - np.cos(np.pi * out))
    return time_s, where, float(begins[3])


def late(slower: float) -> float:
    """How much too late the slower drive's turn is found, s."""
    time_s, where, true_s = strokes(slower)
    found = fine_turns(time_s, where, where, rough_turns(where, 0.5 * WAY_M), WAY_M)
    return min((at_s - true_s for at_s in found.values()), key=abs)


@pytest.mark.parametrize("slower", [0.10, 0.15, 0.25, 0.35])
def test_a_little_more_speed_makes_no_jump_in_time(slower: float) -> None:
    assert abs(late(slower + 0.01) - late(slower - 0.01)) < 0.004


@pytest.mark.parametrize("slower", [0.0, 0.1, 0.5, 1.0])
def test_a_slow_drive_turns_where_it_turns(slower: float) -> None:
    assert abs(late(slower)) < 1.0 / FPS
