"""The target curve: shape, handles, floors, and what it holds equal."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from analysis.force.curves import PERCENT
from analysis.force.target import (
    BUILD_UP_FLOOR_PCT,
    DECLINE_FLOOR_PCT,
    STEEPEST_FALL,
    STEEPEST_RISE,
    Handle,
    TargetCurve,
    compare_target,
    draw_freehand,
    hold_level,
    legal,
    move_handle,
    racing,
    sample_target,
    steady_rowing,
    target_measures,
)
from tests.helpers.curves import shape

HANDLES: list[Handle] = ["start", "build_up_end", "plateau_end", "decline_end", "level"]


def is_no_rectangle(target: TargetCurve) -> None:
    """No step anywhere: slopes within the floors' own, nothing at both ends."""
    curve = sample_target(target)
    level = max(target.level_n, 1e-9)
    assert curve[0] == pytest.approx(0.0, abs=1e-9 * level)
    assert curve[-1] == pytest.approx(0.0, abs=1e-9 * level)
    steps = np.diff(curve) / level
    assert steps.max() <= STEEPEST_RISE + 1e-9
    assert steps.min() >= -STEEPEST_FALL - 1e-9


def test_shape_of_the_handles() -> None:
    curve = sample_target(TargetCurve("time", 5.0, 35.0, 65.0, 95.0, 500.0))
    assert curve[:6] == pytest.approx(0.0)
    assert curve[35:66] == pytest.approx(500.0)
    assert curve[95:] == pytest.approx(0.0)
    assert curve[20] == pytest.approx(250.0)  # half way up a half cosine
    assert np.all(np.diff(curve[:36]) >= 0.0)
    assert np.all(np.diff(curve[65:]) <= 0.0)


def test_area_of_the_shape_is_known() -> None:
    # Half cosines have half the area of their rectangle: 500 N over 15 + 30 + 17.5 percent.
    curve = sample_target(TargetCurve("time", 0.0, 30.0, 60.0, 95.0, 500.0))
    assert np.trapezoid(curve, PERCENT) == pytest.approx(500.0 * (15.0 + 30.0 + 17.5), rel=1e-3)


@settings(max_examples=150, deadline=None)
@given(
    st.lists(
        st.tuples(
            st.sampled_from(HANDLES),
            st.floats(allow_nan=True, allow_infinity=True),
            st.floats(allow_nan=True, allow_infinity=True),
        ),
        max_size=12,
    )
)
def test_no_drag_makes_a_rectangle(drags: list[tuple[Handle, float, float]]) -> None:
    target = TargetCurve()
    for handle, percent, force_n in drags:
        target = move_handle(target, handle, percent, force_n)
        assert legal(target) == target
        assert target.build_up_end_pct - target.start_pct >= BUILD_UP_FLOOR_PCT - 1e-9
        assert target.decline_end_pct - target.plateau_end_pct >= DECLINE_FLOOR_PCT - 1e-9
        assert target.build_up_end_pct <= target.plateau_end_pct
        is_no_rectangle(target)


@settings(max_examples=150, deadline=None)
@given(*[st.floats(allow_nan=True, allow_infinity=True)] * 5)
def test_no_stored_target_makes_a_rectangle(
    start: float, built: float, plateau: float, end: float, level: float
) -> None:
    target = legal(TargetCurve("time", start, built, plateau, end, level))
    assert legal(target) == target
    is_no_rectangle(target)


def test_a_handle_stops_at_its_neighbour_and_leaves_it_alone() -> None:
    target = TargetCurve("time", 0.0, 35.0, 65.0, 100.0)
    moved = move_handle(target, "build_up_end", 90.0, 0.0)
    assert (moved.build_up_end_pct, moved.plateau_end_pct) == (65.0, 65.0)
    assert move_handle(target, "build_up_end", -5.0, 0.0).build_up_end_pct == BUILD_UP_FLOOR_PCT
    assert move_handle(target, "plateau_end", 99.0, 0.0).plateau_end_pct == 85.0
    level = move_handle(target, "level", 50.0, 700.0)
    assert (level.level_n, level.hold_equal) == (700.0, False)


points = st.lists(
    st.tuples(st.floats(-20.0, 120.0, width=32), st.floats(-100.0, 3000.0, width=32)),
    max_size=60,
)


@settings(max_examples=150, deadline=None)
@given(points)
def test_no_drawing_makes_a_rectangle(drawn: list[tuple[float, float]]) -> None:
    target = draw_freehand(TargetCurve(), np.array(drawn).reshape(-1, 2))
    is_no_rectangle(target)
    if target.freehand:
        curve = sample_target(target)
        assert curve.max() == pytest.approx(target.level_n, rel=1e-3)
        assert [p for p, _ in target.freehand] == sorted(p for p, _ in target.freehand)


def test_a_drawn_rectangle_gets_its_floors() -> None:
    target = draw_freehand(TargetCurve(), np.array([[0.0, 600.0], [100.0, 600.0]]))
    curve = sample_target(target)
    assert target.level_n == pytest.approx(600.0)
    assert curve[50] == pytest.approx(600.0)
    assert curve[2] < 200.0
    is_no_rectangle(target)


def test_a_smooth_drawing_stays_what_it_is() -> None:
    x = PERCENT / 100.0
    drawn = np.column_stack((PERCENT, 500.0 * np.sin(np.pi * x)))
    curve = sample_target(draw_freehand(TargetCurve(), drawn))
    assert curve == pytest.approx(500.0 * np.sin(np.pi * x), abs=6.0)


def test_a_useless_drawing_changes_nothing() -> None:
    target = TargetCurve(level_n=444.0)
    for drawn in ([], [[10.0, 400.0]], [[0.0, 0.0], [100.0, 1.0]], [[np.nan, 1.0], [5.0, np.inf]]):
        assert draw_freehand(target, np.array(drawn).reshape(-1, 2)) == target


def test_a_handle_takes_a_drawing_back_to_the_shape() -> None:
    drawn = draw_freehand(TargetCurve(), np.array([[0.0, 600.0], [100.0, 600.0]]))
    assert drawn.freehand
    assert move_handle(drawn, "start", 5.0, 0.0).freehand == ()
    assert move_handle(drawn, "level", 5.0, 300.0).freehand == drawn.freehand


@settings(max_examples=60, deadline=None)
@given(
    st.sampled_from(["triangle", "half sine", "parabola", "trapezoid"]),
    st.floats(100.0, 1300.0),
    st.sampled_from([steady_rowing(), racing(), steady_rowing("length"), TargetCurve()]),
)
def test_held_level_keeps_the_area(name: str, peak_n: float, target: TargetCurve) -> None:
    own = peak_n * shape(name, PERCENT / 100.0)
    held = hold_level(target, own)
    compared = compare_target(held, own, 0.9)
    assert compared.area_ratio == pytest.approx(1.0, rel=1e-9)
    free = hold_level(replace(target, hold_equal=False), own)
    assert free.level_n == target.level_n


def test_held_level_without_anything_to_hold() -> None:
    assert hold_level(TargetCurve(), np.zeros(101)) == TargetCurve()
    assert compare_target(TargetCurve(), np.zeros(101), None).area_ratio is None


def test_presets_differ_as_they_say() -> None:
    own = 600.0 * shape("half sine", PERCENT / 100.0)
    steady, race = hold_level(steady_rowing(), own), hold_level(racing(), own)
    span = 0.85
    of_steady = compare_target(steady, own, span).target
    of_race = compare_target(race, own, span).target
    assert of_race.plateau_pct < of_steady.plateau_pct  # shorter plateau
    assert sample_target(race)[10] < sample_target(steady)[10]  # softer catch
    assert steady_rowing("length").axis == "length"


def test_measures_of_a_target_are_the_strokes_own() -> None:
    curve = 600.0 * shape("half sine", PERCENT / 100.0)
    found = target_measures(curve, "time", 0.9)
    assert found.peak_n == pytest.approx(600.0)
    assert found.mean_to_peak == pytest.approx(2.0 / np.pi, rel=1e-3)
    assert found.plateau_pct == pytest.approx(100 * (1 - 2 * np.arcsin(0.9) / np.pi), abs=0.1)
    assert found.area == pytest.approx(600.0 * 0.9 * 2.0 / np.pi, rel=1e-3)
    slope = 600.0 * np.sin(np.pi * 0.05 / 0.9) / 0.05
    assert found.rfd_n_per_s == pytest.approx(slope, rel=5e-3)
    by_length = target_measures(curve, "length", 1.4)
    assert by_length.rfd_n_per_s is None
    assert by_length.area == pytest.approx(600.0 * 1.4 * 2.0 / np.pi, rel=1e-3)
