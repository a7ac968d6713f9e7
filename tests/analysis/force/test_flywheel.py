import contextlib
from dataclasses import fields, replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from analysis.force.coast_down import (
    FlywheelError,
    FlywheelModel,
    coast,
    ratio_of_coast_down,
)
from analysis.force.curves import PERCENT
from analysis.force.flywheel import (
    DriveFigures,
    figures,
    steady_by_length,
    steady_by_time,
    what_would_change,
)
from analysis.force.target import sample_target, steady_rowing

EXACT = FlywheelModel(0.1, 1.2e-4, 0.013, 0.0, 0.0)
HALF_SINE = 600.0 * np.sin(np.pi * np.linspace(0.0, 1.0, 2001))
HARD = 700.0 * np.clip(np.minimum(PERCENT / 8.0, (100.0 - PERCENT) / 92.0), 0.0, 1.0)


def test_coast_down_is_the_exact_solution():
    # 1/w = 1/w0 + (k/I) t; angle = (I/k) ln(1 + k w0 t / I), worked out by hand for round numbers.
    speed, angle = coast(EXACT, 100.0, 1.5)
    assert speed == pytest.approx(84.74576, abs=1e-5)
    assert angle == pytest.approx(137.92870, abs=1e-5)
    lost = 0.5 * 0.1 * (100.0**2 - speed**2)
    assert lost == pytest.approx(140.9078, abs=1e-4)


def test_steady_cycle_meets_the_reference():
    # Integrated by an independent script to a periodic steady state: half sine of 600 N for
    # 0.85 s of a 2.5 s cycle.
    cycle = steady_by_time(EXACT, HALF_SINE, 0.85, 2.5)
    got = figures(EXACT, cycle)
    assert cycle.catch_rad_s == pytest.approx(104.9563, abs=2e-4)
    assert cycle.release_rad_s == pytest.approx(132.4893, abs=2e-4)
    assert cycle.least_rad_s == pytest.approx(104.6548, abs=3e-4)
    assert cycle.most_rad_s == pytest.approx(133.2760, abs=3e-4)
    assert got.length_m == pytest.approx(1.3201, abs=1e-4)
    assert got.work_j == pytest.approx(504.993, abs=2e-3)
    assert got.mean_power_w == pytest.approx(201.997, abs=1e-3)
    even = EXACT.drag_nms2 * cycle.mean_rad_s**3
    assert even == pytest.approx(198.525, abs=1e-2)


def test_length_and_time_are_the_same_pull():
    by_time = steady_by_time(EXACT, HALF_SINE, 0.85, 2.5)
    length = by_time.handle_m[-1]
    over_length = np.interp(np.linspace(0.0, 1.0, 2001), by_time.handle_m / length, by_time.force_n)
    by_length = steady_by_length(EXACT, over_length, length, 2.5)
    assert by_length.catch_rad_s == pytest.approx(by_time.catch_rad_s, rel=1e-4)
    assert by_length.time_s[-1] == pytest.approx(0.85, rel=1e-4)
    assert by_length.work_j == pytest.approx(by_time.work_j, rel=1e-4)


@settings(max_examples=15, deadline=None)
@given(st.floats(0.05, 0.2), st.floats(0.8e-4, 2.2e-4), st.floats(0.7, 1.0), st.floats(18.0, 36.0))
def test_what_is_put_in_is_what_drag_takes(inertia, drag, drive_s, rate):
    model = FlywheelModel(inertia, drag, 0.013)
    cycle = steady_by_time(model, HALF_SINE, drive_s, 60.0 / rate)
    in_drive = np.interp(
        np.linspace(0, cycle.time_s[-1], 20001), cycle.time_s, cycle.handle_m_s / 0.013
    )
    taken = float(np.trapezoid(drag * in_drive**3, dx=cycle.time_s[-1] / 20000))
    taken += 0.5 * inertia * (cycle.release_rad_s**2 - cycle.catch_rad_s**2)  # while coasting
    assert cycle.work_j == pytest.approx(taken, rel=2e-4)


@pytest.mark.parametrize(
    ("share", "penalty"),
    [(0.05, 1.00375), (0.10, 1.0150), (0.15, 1.0338), (0.20, 1.0600), (0.30, 1.1350)],
)
def test_uneven_speed_costs_what_the_cube_says(share, penalty):
    # mean(w^3) / mean(w)^3 = 1 + 1.5 a^2 for a sinusoidal relative amplitude a, exact. The model
    # is asked for its penalty on a wheel that swings so: mean power over drag of the mean speed.
    angle = np.linspace(0.0, 2.0 * np.pi, 2001)
    speed = 100.0 * (1.0 + share * np.sin(angle))
    drag_power = EXACT.drag_nms2 * speed**3
    cycle = replace(
        steady_by_time(EXACT, HALF_SINE, 0.85, 2.5),
        mean_rad_s=100.0,
        work_j=2.5 * float(np.mean(drag_power[:-1])),
    )
    assert 1.0 + figures(EXACT, cycle).drag_penalty_pct / 100.0 == pytest.approx(penalty, abs=6e-5)


@pytest.mark.parametrize("axis", ["time", "length"])
def test_target_of_equal_work(axis):
    span = 0.85 if axis == "time" else 1.3
    change = what_would_change(HARD, sample_target(steady_rowing(axis)), axis, span, 24.0, EXACT)
    assert change.after.work_j == pytest.approx(change.before.work_j, rel=1e-3)
    assert change.after.length_m == pytest.approx(change.before.length_m, rel=1e-3)
    assert change.after.mean_power_w == pytest.approx(change.before.mean_power_w, rel=1e-3)
    assert change.after.peak_n < 0.85 * change.before.peak_n
    assert change.after.rfd_n_per_s < 0.5 * change.before.rfd_n_per_s
    assert all(getattr(change.change_sd, f.name) == 0.0 for f in fields(DriveFigures))


def test_the_own_curve_changes_nothing():
    change = what_would_change(HARD, 0.5 * HARD, "time", 0.85, 24.0)
    for f in fields(DriveFigures):
        assert getattr(change.after, f.name) == pytest.approx(
            getattr(change.before, f.name), rel=2e-3
        )
    assert change.before_sd.drive_s == pytest.approx(0.0, abs=1e-9)
    assert change.before_sd.peak_handle_m_s > 0.0
    assert change.limits


@pytest.mark.parametrize(
    ("call", "word"),
    [
        (lambda: FlywheelModel(0.0), "above 0"),
        (lambda: steady_by_time(EXACT, np.zeros(101), 0.8, 2.5), "force curve"),
        (lambda: steady_by_time(EXACT, HALF_SINE, 2.6, 2.5), "longer than"),
        (lambda: what_would_change(HARD, HARD, "time", 0.8, float("nan")), "rate"),
    ],
)
def test_says_what_cannot_be_done(call, word):
    with pytest.raises(FlywheelError, match=word):
        call()


@pytest.mark.parametrize("ratio", [2e-4, 1.2e-3, 5e-3])
def test_a_timed_run_tells_drag_against_inertia(ratio: float) -> None:
    from scipy.integrate import solve_ivp

    first_rad_s = 70.0
    run = solve_ivp(lambda t, w: -ratio * w**2, (0.0, 6.0), [first_rad_s], rtol=1e-10, atol=1e-12)
    turns = (first_rad_s / 2 / np.pi, float(run.y[0, -1]) / 2 / np.pi)
    assert ratio_of_coast_down(*turns, 6.0) == pytest.approx(ratio, rel=1e-7)


@pytest.mark.parametrize(
    "run", [(5.0, 5.0, 2.0), (5.0, 6.0, 2.0), (5.0, 0.0, 2.0), (5.0, 4.0, 0.0)]
)
def test_a_wheel_that_does_not_slow_down_tells_nothing(run: tuple[float, float, float]) -> None:
    with pytest.raises(FlywheelError, match="slows down"):
        ratio_of_coast_down(*run)


@pytest.mark.parametrize("share", [0.97, 0.985, 0.999])
def test_a_drive_that_fills_its_cycle_is_answered_or_refused_in_words(share: float) -> None:
    mean_n = 500.0 * np.sin(np.pi * PERCENT / 100.0)
    target_n = np.roll(mean_n, 3) * 1.05
    with contextlib.suppress(FlywheelError):
        change = what_would_change(mean_n, target_n, "time", 2.0 * share, 30.0, EXACT)
        assert np.isfinite(change.after.peak_power_w)
