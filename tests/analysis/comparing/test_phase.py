from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from analysis.comparing.phase import (
    PhaseError,
    StrokeTimes,
    back_time,
    nearest_frame,
    other_time,
    phase_of,
    time_at,
)

SLOW = StrokeTimes(2.0, 3.1, 5.333)  # 18 a minute
FAST = StrokeTimes(10.0, 10.8, 11.875)  # 32 a minute


@st.composite
def strokes(draw: st.DrawFn) -> StrokeTimes:
    catch = draw(st.floats(-100.0, 1000.0))
    drive, recovery = draw(st.floats(0.2, 4.0)), draw(st.floats(0.2, 6.0))
    return StrokeTimes(catch, catch + drive, catch + drive + recovery)


def test_events_meet_events_exactly() -> None:
    for t_s, there_s in zip(
        (SLOW.catch_s, SLOW.finish_s, SLOW.next_catch_s),
        (FAST.catch_s, FAST.finish_s, FAST.next_catch_s),
        strict=True,
    ):
        assert other_time(SLOW, FAST, t_s, "phase").t_s == there_s
        assert back_time(SLOW, FAST, there_s, "phase").t_s == t_s


def test_halfway_through_a_part_is_halfway_through_the_other() -> None:
    assert other_time(SLOW, FAST, 2.55, "phase").t_s == pytest.approx(10.4)
    assert other_time(SLOW, FAST, (3.1 + 5.333) / 2, "phase").t_s == pytest.approx(11.3375)


@given(strokes(), st.floats(-7.0, 9.0))
def test_a_phase_and_its_instant_are_each_others_way_back(times: StrokeTimes, phase: float) -> None:
    assert phase_of(times, time_at(times, phase)) == pytest.approx(phase, abs=1e-9)


@given(
    strokes(),
    strokes(),
    st.floats(-5.0, 15.0),
    st.sampled_from(["phase", "real", "free"]),
    st.floats(-2.0, 2.0),
)
def test_there_and_back_again(
    left: StrokeTimes, right: StrokeTimes, after_s: float, timing: str, shift_s: float
) -> None:
    t_s = left.catch_s + after_s
    there = other_time(left, right, t_s, timing, shift_s)  # type: ignore[arg-type]
    back = back_time(left, right, there.t_s, timing, shift_s)  # type: ignore[arg-type]
    assert back.t_s == pytest.approx(t_s, abs=1e-8)


@given(strokes(), strokes())
def test_time_never_runs_back(left: StrokeTimes, right: StrokeTimes) -> None:
    there = [
        other_time(left, right, float(t), "phase").t_s
        for t in np.linspace(left.catch_s - 5.0, left.next_catch_s + 5.0, 200)
    ]
    assert np.all(np.diff(there) >= 0.0)


def test_outside_the_stroke_it_goes_on_at_the_speed_of_the_part_that_is_there() -> None:
    before = other_time(SLOW, FAST, SLOW.catch_s - 0.2233, "phase")
    assert before.t_s == pytest.approx(FAST.catch_s - 0.1075)  # a tenth of a recovery
    assert not before.inside
    after = other_time(SLOW, FAST, SLOW.next_catch_s + 0.11, "phase")
    assert after.t_s == pytest.approx(FAST.next_catch_s + 0.08)  # a tenth of a drive
    assert not after.inside
    assert other_time(SLOW, FAST, SLOW.next_catch_s, "phase").inside


def test_real_and_free_count_seconds_from_the_catch() -> None:
    assert other_time(SLOW, FAST, 2.5, "real").t_s == pytest.approx(10.5)
    assert other_time(SLOW, FAST, 2.5, "real", 0.4).t_s == pytest.approx(10.5)
    assert other_time(SLOW, FAST, 2.5, "free", 0.4).t_s == pytest.approx(10.9)
    assert not other_time(SLOW, FAST, 5.0, "real").inside  # the fast stroke is over


@pytest.mark.parametrize("bad", [(1.0, 1.0, 2.0), (1.0, 3.0, 2.0), (math.nan, 1.0, 2.0)])
def test_events_out_of_order_are_refused_in_words(bad: tuple[float, float, float]) -> None:
    with pytest.raises(PhaseError, match="mark them anew"):
        StrokeTimes(*bad)


def test_the_nearest_frame_is_at_most_half_a_frame_off() -> None:
    frames = np.arange(30) / 30.0
    for t_s in np.linspace(0.0, 29.0 / 30.0, 317):
        assert abs(frames[nearest_frame(frames, float(t_s))] - t_s) <= 0.5 / 30.0 + 1e-12
    assert nearest_frame(frames, -3.0) == 0
    assert nearest_frame(frames, 99.0) == 29
    assert nearest_frame(frames, 1 / 3) == 10
