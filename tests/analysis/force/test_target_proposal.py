"""Presets and mended curves: bounded peak, kept impulse, no more peak power on the flywheel."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.integrate import simpson

from analysis.force.coast_down import FlywheelModel
from analysis.force.curves import Axis
from analysis.force.flywheel import what_would_change
from analysis.force.peak_power import own_power
from analysis.force.target import TargetCurve, hold_level, racing, sample_target, steady_rowing
from analysis.force.target_proposal import PEAK_FACTOR, CannotMend, mend, peak_bound, propose
from tests.helpers.drive_shapes import PCT, SHAPES

OWN_N = 650.0
SPANS: dict[Axis, float] = {"time": 0.85, "length": 1.4}
MODELS = (
    FlywheelModel(),
    FlywheelModel(0.06, 2.2e-4, 0.0130, 0.0, 0.0),
    FlywheelModel(0.20, 0.8e-4, 0.0150, 0.0, 0.0),
)
STRETCHES = {
    "double bump": (25.0, 65.0),
    "snatched": (70.0, 92.0),
    "lost early": (50.0, 100.0),
    "early peak": (5.0, 30.0),
}


def peak_powers(
    own: np.ndarray, target: TargetCurve, axis: Axis, model: FlywheelModel
) -> tuple[float, float]:
    change = what_would_change(own, sample_target(target), axis, SPANS[axis], 24.0, model)
    return change.before.peak_power_w, change.after.peak_power_w


@pytest.mark.parametrize("axis", SPANS)
def test_the_quick_peak_power_is_that_of_what_would_change(axis: Axis) -> None:
    own = OWN_N * SHAPES["early peak"]
    quick = own_power(own, axis, SPANS[axis], 24.0)
    before, after = peak_powers(own, racing(axis), axis, FlywheelModel())
    assert quick.peak_power_w == pytest.approx(before, rel=1e-9)
    assert quick.of(sample_target(racing(axis))) == pytest.approx(after, rel=1e-3)


@pytest.mark.parametrize("model", MODELS)
@pytest.mark.parametrize("axis", SPANS)
@pytest.mark.parametrize("name", SHAPES)
def test_a_preset_asks_for_no_more_peak_power(name: str, axis: Axis, model: FlywheelModel) -> None:
    own = OWN_N * SHAPES[name]
    power = own_power(own, axis, SPANS[axis], 24.0, model)
    for preset in (steady_rowing(axis), racing(axis)):
        found = propose(preset, own, OWN_N, power)
        before, after = peak_powers(own, found.target, axis, model)
        assert after <= before * (1.0 + 1e-9)
        curve = sample_target(found.target)
        assert curve.max() <= 1.15 * OWN_N
        assert simpson(curve, x=PCT) == pytest.approx(simpson(own, x=PCT), rel=5e-3)
        assert (found.reached < 1.0) == bool(found.remarks)


def test_the_plain_preset_did_ask_for_more() -> None:
    own = OWN_N * SHAPES["trapezoid"]
    plain = hold_level(racing(), own)
    before, after = peak_powers(own, plain, "time", FlywheelModel())
    assert after > 1.2 * before
    assert plain.level_n > peak_bound(OWN_N)


def test_a_preset_that_fits_is_taken_as_it_is() -> None:
    own = OWN_N * SHAPES["half sine squared"]
    found = propose(steady_rowing(), own, OWN_N, own_power(own, "time", 0.85, 24.0))
    assert (found.reached, found.remarks) == (1.0, ())
    assert found.target == hold_level(steady_rowing(), own)


def test_racing_stays_softer_at_the_catch_than_steady() -> None:
    own = OWN_N * SHAPES["half sine"]
    power = own_power(own, "time", 0.85, 24.0)
    steady = propose(steady_rowing(), own, OWN_N, power).target
    race = propose(racing(), own, OWN_N, power).target
    assert sample_target(race)[10] < sample_target(steady)[10]


@pytest.mark.parametrize(("up", "down"), [(14.0, 82.0), (8.0, 90.0), (2.0, 98.0)])
def test_a_very_full_stroke_stays_nearly_what_it_is(up: float, down: float) -> None:
    own = OWN_N * np.interp(PCT, [0.0, up, down, 100.0], [0.05, 1.0, 1.0, 0.05])
    found = propose(racing(), own, OWN_N, own_power(own, "time", 0.85, 24.0))
    before, after = peak_powers(own, found.target, "time", FlywheelModel())
    # No target may be a rectangle: then nothing can hold, which is said.
    holds = "peak power may rise" not in found.remarks[0]
    assert holds == (up > 5.0)
    assert after <= before * (1.0 + 1e-9) if holds else after > before
    assert found.target.freehand
    assert sample_target(found.target).max() <= 1.15 * OWN_N


def test_without_a_flywheel_the_peak_is_bounded_and_it_is_said() -> None:
    own = OWN_N * SHAPES["trapezoid"]
    found = propose(racing(), own, OWN_N, None)
    assert sample_target(found.target).max() <= PEAK_FACTOR * OWN_N * (1 + 1e-6)
    assert any("could not be compared" in words for words in found.remarks)


@pytest.mark.parametrize("name", STRETCHES)
def test_mending_changes_the_stretch_alone(name: str) -> None:
    own = OWN_N * SHAPES[name]
    first, last = STRETCHES[name]
    found = mend(own, first, last, OWN_N, own_power(own, "time", 0.85, 24.0), hold_equal=False)
    curve = sample_target(found.target)
    outside = (first >= PCT) | (last <= PCT)
    assert curve[outside] == pytest.approx(own[outside], abs=0.01 * OWN_N)
    within = curve[int(first) : int(last) + 1]
    ends = own[int(first)], own[int(last)]
    assert min(ends) - 7.0 <= within.min()
    assert within.max() <= max(ends) + 7.0
    steps = np.diff(within)
    assert (steps >= -1e-6).all() or (steps <= 1e-6).all()  # one way only: no dip, no bump


def test_a_dip_is_filled_and_a_snatch_smoothed() -> None:
    dip = OWN_N * SHAPES["double bump"]
    filled = sample_target(mend(dip, 25.0, 65.0, OWN_N, None, False).target)
    assert filled[45] > dip[45] + 50.0
    snatch = OWN_N * SHAPES["snatched"]
    smoothed = sample_target(mend(snatch, 70.0, 92.0, OWN_N, None, False).target)
    assert smoothed[80] < snatch[80] - 30.0
    loss = OWN_N * SHAPES["lost early"]
    carried = sample_target(mend(loss, 50.0, 100.0, OWN_N, None, False).target)
    assert carried[70] > loss[70] + 30.0


@pytest.mark.parametrize("model", MODELS)
@pytest.mark.parametrize("name", STRETCHES)
def test_mending_with_the_impulse_kept(name: str, model: FlywheelModel) -> None:
    own = OWN_N * SHAPES[name]
    power = own_power(own, "time", 0.85, 24.0, model)
    found = mend(own, *STRETCHES[name], OWN_N, power)
    curve = sample_target(found.target)
    assert curve.max() <= 1.03 * OWN_N
    if not found.target.hold_equal:  # where impulse and peak power cannot both be kept
        assert name == "early peak"
        assert "impulse is not kept" in found.remarks[0]
        return
    assert np.trapezoid(curve, PCT) == pytest.approx(np.trapezoid(own, PCT), rel=1e-9)
    before, after = peak_powers(own, found.target, "time", model)
    assert after <= before * (1.0 + 2e-4)  # what two ways of reckoning may differ by


def test_what_cannot_be_mended_says_so() -> None:
    own = OWN_N * SHAPES["half sine"]
    for first, last in ((105.0, 160.0), (40.2, 40.9), (3.0, 6.0)):
        with pytest.raises(CannotMend, match=r"mended|mend"):
            mend(own, first, last, OWN_N, None)
