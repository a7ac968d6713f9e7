"""Handle, seat and fixed points, clicked after the athlete was followed."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from analysis.body.following.follow_machine import MACHINE_POINTS, follow_machine
from analysis.body.following.observed import FollowingError, Observed, nothing_observed
from analysis.body.track import POINTS, Click, Source
from app.commands.options import MACHINE_POINTS as OPTIONS
from tests.analysis.body.following.linkage import rower
from tests.analysis.body.following.pictures import Film

TRUTH = rower(6.0)
HANDLE, SEAT = POINTS.index("handle"), POINTS.index("seat")


def never() -> bool:
    return False


def silent(share: float) -> None:
    del share


def clicks_in(film: Film, at: int, names: tuple[str, ...]) -> list[Click]:
    now_s = float(TRUTH.time_s[at])
    return [Click(now_s, n, *map(float, film.seen_px[at, POINTS.index(n)])) for n in names]


def followed(film: Film, clicks: list[Click]) -> Observed:
    before = nothing_observed(TRUTH.time_s)
    return follow_machine(film, before, clicks, cancelled=never, progress=silent)


def test_handle_and_seat_are_followed_from_one_click_each() -> None:
    film = Film(TRUTH)
    after = followed(film, clicks_in(film, 40, ("handle", "seat")))
    # What passes behind the seat at the catch hides it from its template: gaps stay gaps.
    for point, least in ((HANDLE, 0.9), (SEAT, 0.4)):
        off = np.hypot(*(after.xy_px[:, point] - film.seen_px[:, point]).T)
        known = np.isfinite(off)
        assert known.mean() > least and np.percentile(off[known], 95) < 0.6
        assert set(after.source[known, point]) == {Source.FLOW}
    assert after.picture_px == (800, 520)


def test_what_was_not_clicked_stays_as_it_was() -> None:
    film = Film(TRUTH)
    once = followed(film, clicks_in(film, 40, ("handle",)))
    again = follow_machine(
        film, once, clicks_in(film, 40, ("seat",)), cancelled=never, progress=silent
    )
    assert np.array_equal(again.xy_px[:, HANDLE], once.xy_px[:, HANDLE], equal_nan=True)
    assert np.isfinite(again.xy_px[:, SEAT]).all(axis=1).any()
    assert follow_machine(film, once, [], cancelled=never, progress=silent) is once


def test_a_fixed_point_takes_the_creep_of_the_camera_out() -> None:
    """The scenery said that the camera stood still; a screw on the wall says it crept."""
    frames = len(TRUTH.time_s)
    creep = np.repeat(np.eye(2, 3)[None], frames, axis=0)
    creep[:, 0, 2] = np.linspace(0.0, 4.0, frames)
    film = Film(TRUTH, creep)
    corner = Click(float(TRUTH.time_s[0]), "stretcher", 120.0, 60.0)
    after = followed(film, [corner])
    assert after.steady is not None
    assert after.steady[-1, 0, 2] == pytest.approx(-4.0, abs=0.3)
    assert abs(after.steady[-1, 1, 2]) < 0.3


def test_another_film_is_refused() -> None:
    film = Film(TRUTH)
    before = replace(nothing_observed(TRUTH.time_s[:100] + 0.01))
    with pytest.raises(FollowingError, match="other frames"):
        follow_machine(
            film, before, clicks_in(film, 40, ("handle",)), cancelled=never, progress=silent
        )


def test_the_command_offers_every_point() -> None:
    assert OPTIONS == MACHINE_POINTS
