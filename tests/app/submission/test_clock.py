"""One rule for what moment of a review is what moment of its force recording."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from analysis.clocks.alignment import Alignment, Pair, align_by_pairs
from analysis.signals.stroke import Stroke
from app.review.parts.state import ReviewState
from app.submission.clock import ReviewClock, Standing
from tests.helpers.submissions import TRACE, VIDEO

THREE_LATE = Alignment(3.0, 0.0, 0.01, "by hand")
BOTH = ReviewState(video=VIDEO, trace=TRACE, alignment=THREE_LATE)


def test_a_review_with_a_film_runs_on_its_seconds() -> None:
    clock = ReviewClock.of(BOTH)
    assert clock.trace_time(13.0) == 10.0
    assert clock.review_time(10.0) == clock.film_time(10.0) == 13.0
    assert clock.for_findings is BOTH.alignment


def test_a_review_without_a_film_runs_on_the_seconds_of_its_force() -> None:
    """A line-up left over says nothing: it speaks of a film there is none of."""
    clock = ReviewClock.of(replace(BOTH, video=None))
    assert clock.trace_time(13.0) == clock.review_time(13.0) == 13.0
    assert clock.film_time(13.0) is None and clock.for_findings is None
    assert clock.is_lined_up


def test_beyond_a_cut_no_moment_is_that_of_a_stroke() -> None:
    cut = Alignment(3.0, 0.0, 0.02, "by picture and sound", False, None, 20.0)
    clock = ReviewClock(cut)
    assert clock.film_time(10.0) == 13.0 and clock.film_time(17.5) is None
    assert clock.shows(Stroke(0, 15.0, 16.0, 17.5)) and not clock.shows(Stroke(1, 16.5, 17.5, 19.0))
    without = ReviewClock(cut, has_film=False)
    assert without.shows(Stroke(1, 16.5, 17.5, 19.0)), "without a film nothing is cut"


def test_without_force_the_moments_of_the_film_stay() -> None:
    clock = ReviewClock.of(replace(BOTH, trace=None))
    assert clock.review_time(clock.trace_time(5.0)) == 5.0


@pytest.mark.parametrize("drift_ppm", [-1e6, math.inf, -math.inf, math.nan])
def test_a_clock_that_stands_still_has_no_moment_of_the_film(drift_ppm: float) -> None:
    clock = ReviewClock(Alignment(3.0, drift_ppm, None, "by hand"))
    assert not clock.runs
    assert clock.review_time(10.0) == math.inf
    assert clock.film_time(10.0) is None and clock.for_findings is None


@given(moment_s=st.floats(-1e5, 1e5), offset_s=st.floats(-1e5, 1e5), drift_ppm=st.floats(-5e3, 5e3))
def test_there_and_back_is_the_same_moment(
    moment_s: float, offset_s: float, drift_ppm: float
) -> None:
    clock = ReviewClock(Alignment(offset_s, drift_ppm))
    assert clock.review_time(clock.trace_time(moment_s)) == pytest.approx(moment_s, abs=1e-6)


@pytest.mark.parametrize(
    ("alignment", "standing"),
    [
        (Alignment(), Standing.ASSUMED),
        (align_by_pairs([Pair(5.0, 1.0)], 1 / 30, 0.01), Standing.BY_HAND),
        (align_by_pairs([Pair(5.0, 1.0), Pair(65.0, 61.0)], 1 / 30, 0.01), Standing.BY_HAND),
        (Alignment(method="by hand, checked by eye"), Standing.BY_HAND),
        (Alignment(method="by picture and sound"), Standing.FOUND),
        (Alignment(method="by picture", ambiguous=True), Standing.AMBIGUOUS),
        (Alignment(method="as simulated"), Standing.FOUND),
    ],
)
def test_how_far_a_line_up_can_be_trusted(alignment: Alignment, standing: Standing) -> None:
    clock = ReviewClock(alignment)
    assert clock.standing is standing
    assert clock.is_lined_up is (standing is not Standing.ASSUMED)


def test_of_a_film_with_a_cut_each_side_has_its_own_moments() -> None:
    early = Alignment(3.0, 0.0, 0.02, "by picture and sound", False, None, 20.0)
    late = Alignment(-2.0, 0.0, 0.02, "by picture and sound", False, 20.0, None)
    clock = ReviewClock(replace(early, further=(late,)))
    assert (clock.film_time(10.0), clock.film_time(30.0)) == (13.0, 28.0)
    assert clock.film_time(18.0) is None and clock.review_time(18.0) == 20.0
    assert clock.shows(Stroke(0, 15.0, 16.0, 18.0)) and clock.shows(Stroke(1, 22.5, 23.5, None))
    left_out, across = Stroke(2, 18.0, 19.0, 22.0), Stroke(3, 16.5, 22.5, None)
    assert not clock.shows(left_out) and not clock.shows(across)
    standing = ReviewClock(replace(early, further=(replace(late, drift_ppm=-1e6),)))
    assert not standing.runs and standing.film_time(10.0) is None
