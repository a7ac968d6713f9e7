"""The target's area by a quadrature of its own, and by the closed form of its shape.

`hold_level` divides by the area it computes itself; what it divides by is checked here by SciPy's
adaptive quadrature on the target's defining formula, written anew, and its ratio by Simpson's rule
on curves that were sampled, not made from an area.
"""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad, simpson
from scipy.interpolate import PchipInterpolator

from analysis.force.curves import PERCENT
from analysis.force.target import (
    TargetCurve,
    compare_target,
    hold_level,
    sample_target,
    steady_rowing,
    target_measures,
)
from tests.benchmarks.limits_generator import SHAPES, X, shape


def force_at(target: TargetCurve, percent: float) -> float:
    """The target by its definition: half cosines up and down, flat between."""
    start, top = target.start_pct, target.build_up_end_pct
    fall, end = target.plateau_end_pct, target.decline_end_pct
    if percent <= start or percent >= end:
        return 0.0
    if percent < top:
        return target.level_n * 0.5 * (1.0 - np.cos(np.pi * (percent - start) / (top - start)))
    if percent <= fall:
        return target.level_n
    return target.level_n * 0.5 * (1.0 + np.cos(np.pi * (percent - fall) / (end - fall)))


def area_of(target: TargetCurve) -> float:
    """N percent, by adaptive quadrature."""
    breaks = [
        target.start_pct,
        target.build_up_end_pct,
        target.plateau_end_pct,
        target.decline_end_pct,
    ]
    found, _ = quad(lambda p: force_at(target, p), 0.0, 100.0, points=breaks, limit=200)
    return float(found)


handles = st.tuples(
    st.floats(0.0, 8.0), st.floats(22.0, 45.0), st.floats(50.0, 70.0), st.floats(88.0, 100.0)
)


@settings(max_examples=60, deadline=None)
@given(handles, st.floats(100.0, 900.0))
def test_quadrature_closed_form_and_samples_agree(
    at: tuple[float, float, float, float], level: float
) -> None:
    target = TargetCurve("time", *at, level)
    start, top, fall, end = at
    closed = level * (0.5 * (top - start) + (fall - top) + 0.5 * (end - fall))
    assert area_of(target) == pytest.approx(closed, rel=1e-7)
    assert simpson(sample_target(target), x=PERCENT) == pytest.approx(closed, rel=2e-3)


@pytest.mark.parametrize("kind", SHAPES)
@pytest.mark.parametrize("peak", [0.32, 0.40])
def test_the_level_that_is_held_has_the_athletes_area(kind: str, peak: float) -> None:
    fine = 640.0 * shape(kind, peak)
    theirs, _ = quad(PchipInterpolator(100.0 * X, fine), 0.0, 100.0, limit=400)
    athlete = np.interp(PERCENT, 100.0 * X, fine)
    held = hold_level(steady_rowing("time"), athlete)
    assert area_of(held) == pytest.approx(theirs, rel=4e-3)
    ratio = compare_target(held, athlete, 0.9).area_ratio
    assert ratio == pytest.approx(area_of(held) / theirs, rel=4e-3)


def test_impulse_and_work_of_a_target_are_integrals_over_its_span() -> None:
    target = TargetCurve("time", 4.0, 33.0, 60.0, 95.0, 520.0)
    impulse = target_measures(sample_target(target), "time", 0.85).area
    assert impulse == pytest.approx(area_of(target) / 100.0 * 0.85, rel=2e-3)
