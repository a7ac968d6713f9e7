"""A line over part of the drive changes that part, keeps the rest, and makes no spike."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import simpson

from analysis.force.target import (
    STEEPEST_FALL,
    STEEPEST_RISE,
    TargetCurve,
    draw_freehand,
    hold_level,
    sample_target,
)
from analysis.force.target_patch import (
    LONGEST_PASSAGE_PCT,
    REST_FACTOR,
    from_curve,
    is_whole,
    patch,
)
from tests.helpers.drive_shapes import PCT, SHAPES

OWN_N = 650.0


def line(first: float, last: float, force_n: float) -> np.ndarray:
    where = np.linspace(first, last, 25)
    return np.column_stack((where, np.full(25, force_n)))


@pytest.mark.parametrize("name", SHAPES)
def test_a_curve_as_a_target_is_that_curve(name: str) -> None:
    own = OWN_N * SHAPES[name]
    target = from_curve(own, "time")
    assert sample_target(target) == pytest.approx(own, abs=0.01 * OWN_N)
    again = from_curve(sample_target(target), "time")
    assert sample_target(again) == pytest.approx(sample_target(target), abs=1e-9)


def test_a_mean_that_begins_and_ends_at_the_threshold_stays_so() -> None:
    own = OWN_N * np.maximum(SHAPES["half sine"], 0.055)
    assert sample_target(from_curve(own, "time")) == pytest.approx(own, abs=1e-6)


@pytest.mark.parametrize("name", SHAPES)
@pytest.mark.parametrize("first", [20.0, 40.0, 60.0])
def test_a_fifth_that_is_drawn_leaves_the_rest(name: str, first: float) -> None:
    own = OWN_N * SHAPES[name]
    drawn = patch(own, line(first, first + 20.0, 0.8 * OWN_N))
    assert drawn is not None
    curve = sample_target(from_curve(drawn.curve(), "time"))
    assert curve[int(first) : int(first) + 21] == pytest.approx(0.8 * OWN_N, abs=2.0)
    away = (first - LONGEST_PASSAGE_PCT - 1 > PCT) | (first + 21 + LONGEST_PASSAGE_PCT < PCT)
    assert curve[away] == pytest.approx(own[away], abs=0.01 * OWN_N)
    steps = np.diff(curve) / curve.max()
    assert steps.max() <= STEEPEST_RISE + 1e-9
    assert steps.min() >= -STEEPEST_FALL - 1e-9


def test_a_fifth_never_becomes_a_spike() -> None:
    """Over a fifth, 520 N: the whole line's way of levelling makes thousands of newtons of it."""
    own = OWN_N * SHAPES["half sine"]
    fifth = line(40.0, 60.0, 520.0)
    spike = hold_level(draw_freehand(TargetCurve(), fifth), own)
    assert spike.level_n > 1500.0  # what must not happen to a line over part of the drive
    drawn = patch(own, fifth)
    assert drawn is not None
    levelled = drawn.levelled(own)
    assert levelled is not None
    assert levelled[45:56] == pytest.approx(520.0, abs=2.0)
    assert levelled.max() < REST_FACTOR * OWN_N
    assert simpson(levelled, x=PCT) == pytest.approx(simpson(own, x=PCT), rel=1e-3)


def test_what_the_rest_cannot_make_up_for_is_not_levelled() -> None:
    own = OWN_N * SHAPES["half sine"]
    drawn = patch(own, line(35.0, 65.0, 120.0))
    assert drawn is not None
    assert drawn.levelled(own) is None
    assert drawn.curve()[50] == pytest.approx(120.0, abs=2.0)


@settings(max_examples=60, deadline=None)
@given(
    st.sampled_from(sorted(SHAPES)),
    st.floats(0.0, 80.0),
    st.floats(5.0, 60.0),
    st.floats(0.0, 900.0),
)
def test_levelling_keeps_line_and_area_or_refuses(
    name: str, first: float, wide: float, force_n: float
) -> None:
    own = OWN_N * SHAPES[name]
    drawn = patch(own, line(first, min(first + wide, 100.0), force_n))
    assert drawn is not None
    levelled = drawn.levelled(own)
    if levelled is None:
        return
    assert np.trapezoid(levelled, PCT) == pytest.approx(np.trapezoid(own, PCT), rel=1e-6)
    highest = max(force_n, REST_FACTOR * OWN_N)
    assert levelled.max() <= highest * (1.0 + 1e-9)


def test_a_second_line_leaves_the_first() -> None:
    own = OWN_N * SHAPES["half sine"]
    first = patch(own, line(20.0, 35.0, 420.0))
    assert first is not None
    shown = first.levelled(own)
    assert shown is not None
    second = patch(shown, line(65.0, 80.0, 500.0), first.weight)
    assert second is not None
    both = second.levelled(own)
    assert both is not None
    assert both[22:34] == pytest.approx(shown[22:34], abs=2.0)
    assert both[66:80] == pytest.approx(500.0, abs=2.0)


def test_which_lines_are_whole() -> None:
    assert is_whole(line(4.0, 97.0, 300.0))
    assert not is_whole(line(4.0, 60.0, 300.0))
    assert not is_whole(np.zeros((0, 2)))
    assert patch(np.full(101, 100.0), line(50.0, 50.5, 300.0)) is None
