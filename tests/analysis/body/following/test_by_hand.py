"""One stroke placed by hand, moment after moment, and carried through the film."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from analysis.body.following.by_hand import MOMENTS, before_carrying, carried, next_moment
from analysis.body.following.follow import never, observe, refine, silent
from analysis.body.following.observed import BODY_POINTS, Observed, nothing_observed
from analysis.body.track import POINTS, Click, Source
from tests.analysis.body.following.linkage import Truth, errors, rower
from tests.analysis.body.following.pictures import Film


@pytest.fixture(scope="module")
def truth() -> Truth:
    return rower(9.5, fps=15.0)


def placed(truth: Truth, observed: Observed, near_s: float = 0.0) -> list[Click]:
    """Click all that is asked for, where it truly is."""
    clicks: list[Click] = []
    for done in range(MOMENTS):
        asked = next_moment(observed, clicks, near_s)
        assert asked is not None and asked.done == done
        at = int(np.argmin(np.abs(truth.time_s - asked.time_s)))
        for name in asked.points:
            x, y = truth.xy_px[at, POINTS.index(name)]
            clicks.append(Click(asked.time_s, name, float(x), float(y)))
    return clicks


def test_one_stroke_is_asked_for_evenly_and_nothing_twice(truth: Truth) -> None:
    observed = replace(nothing_observed(truth.time_s), phase=truth.share)
    clicks = placed(truth, observed, near_s=4.0)
    assert len(clicks) == MOMENTS * BODY_POINTS
    times = np.unique([c.time_s for c in clicks])
    phases = np.interp(times, truth.time_s, truth.share)
    assert len(np.unique(np.floor(phases))) == 1, "of one stroke"
    assert np.diff(phases).max() < 0.2
    assert next_moment(observed, clicks, 4.0) is None
    # Taken up elsewhere in the film, it is still the stroke that was begun.
    again = next_moment(observed, clicks[:-1], near_s=0.0)
    assert again is not None and again.points == (clicks[-1].point,)
    assert again.time_s == clicks[-1].time_s and again.done == MOMENTS - 1


def test_what_is_not_seen_is_asked_for_once(truth: Truth) -> None:
    observed = replace(nothing_observed(truth.time_s), phase=truth.share)
    first = next_moment(observed, ())
    assert first is not None
    left = {(first.time_s, name) for name in first.points}
    after = next_moment(observed, (), passed=left)
    assert after is not None and after.time_s != first.time_s


def test_where_no_stroke_is_told_nothing_is_asked(truth: Truth) -> None:
    assert next_moment(nothing_observed(truth.time_s), ()) is None
    part = np.where(np.mod(truth.share, 1.0) < 0.5, truth.share, np.nan)
    assert next_moment(replace(nothing_observed(truth.time_s), phase=part), ()) is None


def test_from_pictures_alone_the_whole_film_is_carried(truth: Truth) -> None:
    film = Film(truth)
    observed = observe(film, (0.0, 99.0), ())
    clicks = placed(truth, observed, near_s=3.0)
    found = carried(film, observed, clicks, never, silent)
    track = refine(found, clicks)
    inside = np.isfinite(found.phase)
    off = errors(truth, track.xy_px)[inside]
    assert inside.mean() > 0.6 and np.isfinite(off).all()
    assert np.percentile(off, 50) < 0.8 and np.percentile(off, 95) < 4.5
    # Carried anew with one click elsewhere, nothing of the first carrying is left.
    moved = [*clicks[:-1], replace(clicks[-1], x_px=clicks[-1].x_px + 40.0)]
    anew = carried(film, found, moved, never, silent)
    alone = carried(film, observed, moved, never, silent)
    assert np.array_equal(anew.xy_px, alone.xy_px, equal_nan=True)
    assert not np.isin(before_carrying(found).source, (Source.FLOW, Source.PHASE)).any()
