"""Where most points' readings fit worse than elsewhere, the picture is unclear."""

from __future__ import annotations

import numpy as np

from analysis.body.following.misfit import unclear

TIME_S = np.arange(0.0, 20.0, 1.0 / 30.0)
BAD = (TIME_S > 5.0) & (TIME_S < 6.0)


def off(bad_points: int, times: float = 5.0) -> np.ndarray:
    """Readings in every second frame, some of them further off for a second."""
    px = np.random.default_rng(3).normal(0.0, 1.5, (len(TIME_S), 7, 2))
    px[BAD, :bad_points] *= times
    px[1::2] = np.nan
    return px


def test_a_second_of_blocks_is_unclear_and_the_rest_is_not() -> None:
    times = unclear(TIME_S, off(7))
    inside = (TIME_S > 5.2) & (TIME_S < 5.8)
    assert (times[inside] > 3.0).all() and (times[inside] < 8.0).all()
    assert (times[(TIME_S < 4.7) | (TIME_S > 6.3)] == 1.0).all()


def test_one_point_that_jumps_does_not_make_the_picture_unclear() -> None:
    assert (unclear(TIME_S, off(2)) == 1.0).all()


def test_a_film_that_is_bad_all_along_has_no_worse_place() -> None:
    assert (unclear(TIME_S, 6.0 * off(0)) == 1.0).all()


def test_where_hardly_anything_was_read_nothing_is_said() -> None:
    few = off(7)
    few[30:] = np.nan
    assert (unclear(TIME_S, few) == 1.0).all()
    assert (unclear(TIME_S, np.full_like(few, np.nan)) == 1.0).all()
