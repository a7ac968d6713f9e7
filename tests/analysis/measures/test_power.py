"""Power of the drive against a flywheel solved by SciPy, identities, and published sanity."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from analysis.force.measures import measure_stroke
from analysis.force.trace import ForceTrace
from analysis.signals.stroke import Stroke

INERTIA, DRAG, SPROCKET = 0.1, 1.2e-4, 0.013
PEAK_N, DRIVE_S, CYCLE_S = 600.0, 0.85, 2.5


def pull(time_s: np.ndarray) -> np.ndarray:
    since = np.mod(time_s, CYCLE_S)
    return np.where(since < DRIVE_S, PEAK_N * np.sin(np.pi * since / DRIVE_S), 0.0)


@cache
def rowed(hz: float = 400.0) -> tuple[ForceTrace, Stroke, float]:
    """A half sine on an air-braked flywheel in steady state, from SciPy; and its peak power, W.

    Constructed reference with round numbers: w at the catch 104.9563 rad/s, 504.993 J a stroke.
    """

    def motion(t: float, y: np.ndarray) -> list[float]:
        force = PEAK_N * np.sin(np.pi * t / DRIVE_S) if 0.0 <= t < DRIVE_S else 0.0
        return [(force * SPROCKET - DRAG * y[0] ** 2) / INERTIA, SPROCKET * y[0]]

    time_s = np.arange(round(1.1 * hz)) / hz
    solved = solve_ivp(motion, (0.0, 1.1), [104.9563, 0.0], t_eval=time_s, rtol=1e-10, atol=1e-12)
    out = solved.y[1]
    speed = SPROCKET * solved.y[0]
    power = np.where(time_s < DRIVE_S, pull(time_s) * speed, 0.0)
    # Before the catch the handle comes home evenly, after the finish it goes home again.
    before = np.arange(-round(0.8 * hz), 0) / hz
    home = np.where(time_s < DRIVE_S, out, out[round(DRIVE_S * hz)])
    trace = ForceTrace(
        np.concatenate((before, time_s)),
        np.concatenate((np.zeros(len(before)), pull(time_s))),
        np.concatenate((-0.8 * before, home)),
    )
    return trace, Stroke(0, 0.0, DRIVE_S, CYCLE_S), float(power.max())


def test_the_constructed_flywheel() -> None:
    trace, stroke, peak_w = rowed()
    found = measure_stroke(trace, stroke)
    assert found.work_j == pytest.approx(504.993, rel=2e-4)
    assert found.mean_power_w == pytest.approx(504.993 / DRIVE_S, rel=2e-4)
    assert found.mean_power_w == pytest.approx(594.1, abs=0.2)
    assert found.peak_power_w == pytest.approx(peak_w, rel=2e-3)


def test_mean_and_peak_stand_as_published() -> None:
    # Drive-mean 1971 of peak 3182 W, 0.62 (Sprague et al. 2007, MSSE 39(2)), trained rowers at
    # full effort on another ergometer: a sanity range, no limit.
    trace, stroke, _ = rowed()
    found = measure_stroke(trace, stroke)
    assert found.mean_power_w is not None and found.peak_power_w is not None
    assert 0.55 < found.mean_power_w / found.peak_power_w < 0.70


@pytest.mark.parametrize("hz", [50.0, 100.0, 400.0])
@pytest.mark.parametrize("noise_m", [0.0005, 0.002])
def test_noise_of_the_handle_moves_peak_power_little(hz: float, noise_m: float) -> None:
    trace, stroke, peak_w = rowed(hz)
    rng = np.random.default_rng(6)
    assert trace.position_m is not None
    off = []
    for _ in range(30):
        noisy = trace.position_m + rng.normal(0.0, noise_m, len(trace.time_s))
        found = measure_stroke(ForceTrace(trace.time_s, trace.force_n, noisy), stroke)
        assert found.peak_power_w is not None and found.mean_power_w is not None
        off.append(found.peak_power_w / peak_w - 1.0)
        assert found.mean_power_w == pytest.approx(594.1, rel=0.01)
    assert abs(np.mean(off)) < 0.02 and np.max(np.abs(off)) < 0.06
    # The slope between two samples would be off by a third and more.
    raw = np.gradient(noisy, trace.time_s) * trace.force_n
    assert raw.max() / peak_w - 1.0 > np.max(off) or noise_m * hz < 0.1


@settings(max_examples=25, deadline=None)
@given(st.floats(0.7, 1.6), st.floats(0.5, 3.0), st.floats(0.5, 1.2))
def test_the_mean_is_that_of_force_times_speed(lean: float, power: float, drive_s: float) -> None:
    """Identity: the mean of F v over the drive is work over time, whatever the shapes."""
    time_s = np.arange(round(1.6 * 500)) / 500.0
    share = np.clip(time_s / drive_s, 0.0, 1.0)
    force_n = 480.0 * (share**lean * (1.0 - share)) ** power + 30.0
    position = 0.9 * share + 0.5 * share**2
    speed = (0.9 + 1.0 * share) / drive_s
    found = measure_stroke(ForceTrace(time_s, force_n, position), Stroke(0, 0.0, drive_s))
    inside = time_s <= drive_s
    mean_w = np.trapezoid(force_n[inside] * speed[inside], time_s[inside]) / drive_s
    assert found.mean_power_w == pytest.approx(mean_w, rel=5e-3)
    assert found.work_j is not None
    assert found.mean_power_w == pytest.approx(found.work_j / drive_s, rel=1e-12)
    assert found.peak_power_w is not None and found.peak_power_w >= mean_w * 0.99


def test_without_position_or_with_few_samples_there_is_no_power() -> None:
    trace, stroke, _ = rowed()
    bare = measure_stroke(ForceTrace(trace.time_s, trace.force_n), stroke)
    assert (bare.mean_power_w, bare.peak_power_w) == (None, None)
    assert trace.position_m is not None
    slow = ForceTrace(trace.time_s[::40], trace.force_n[::40], trace.position_m[::40])
    found = measure_stroke(slow, stroke)
    assert found.peak_power_w is None and found.mean_power_w is not None
