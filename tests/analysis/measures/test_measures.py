"""Measures against values known exactly."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from analysis.force.measures import measure_all, measure_stroke
from analysis.force.strokes import find_strokes
from analysis.force.trace import ForceTrace
from analysis.measures.curve_shape import steepest_rise, time_above
from analysis.measures.measures import Measures
from analysis.signals.stroke import Stroke
from tests.helpers.curves import one_drive, row

# Mean over peak of ideal shapes, exact: triangle 1/2, half sine 2/pi, parabola 2/3,
# trapezoid with flat share f (1 + f) / 2, block 1. Time at or above 90 % of the peak, exact:
# triangle 10 %, half sine 1 - 2 asin(0.9) / pi, parabola sqrt(0.1), trapezoid f + 0.1 (1 - f).
IDEAL = {
    "triangle": (0.5, 0.1),
    "half sine": (2.0 / np.pi, 1.0 - 2.0 * np.arcsin(0.9) / np.pi),
    "parabola": (2.0 / 3.0, np.sqrt(0.1)),
    "trapezoid": (0.7, 0.46),
    "block": (1.0, 1.0),
}


@pytest.mark.parametrize("name", IDEAL)
def test_ideal_shapes(name: str) -> None:
    trace, stroke = one_drive(name)
    found = measure_stroke(trace, stroke)
    ratio, plateau = IDEAL[name]
    assert found.peak_n == pytest.approx(600.0, rel=1e-6)
    assert found.mean_to_peak == pytest.approx(ratio, rel=1e-5)
    assert found.mean_n == pytest.approx(600.0 * ratio, rel=1e-5)
    assert found.impulse_ns == pytest.approx(600.0 * ratio * 0.9, rel=1e-5)
    assert found.plateau_pct == pytest.approx(100.0 * plateau, rel=1e-4)
    assert found.length_m == pytest.approx(1.35)
    assert found.work_j == pytest.approx(600.0 * ratio * 1.35, rel=1e-5)  # at 1.5 m/s all along
    assert found.drive_s == pytest.approx(0.9)
    assert found.recovery_s == pytest.approx(1.6)
    assert found.rhythm == pytest.approx(1.6 / 0.9)
    assert found.rate_spm == pytest.approx(60.0 / 2.5)


@pytest.mark.parametrize("name", ["triangle", "half sine", "parabola"])
def test_peak_in_the_middle(name: str) -> None:
    found = measure_stroke(*one_drive(name))
    assert found.time_to_peak_pct == pytest.approx(50.0, abs=0.1)
    assert found.length_to_peak_pct == pytest.approx(50.0, abs=0.1)


def test_rate_of_force_development_is_the_steepest_50_ms() -> None:
    # A triangle rises evenly; a half sine is steepest over its first 50 ms; a parabola too.
    assert measure_stroke(*one_drive("triangle")).rfd_n_per_s == pytest.approx(600.0 / 0.45)
    sine = 600.0 * np.sin(np.pi * 0.05 / 0.9) / 0.05
    assert measure_stroke(*one_drive("half sine")).rfd_n_per_s == pytest.approx(sine, rel=1e-5)
    x = 0.05 / 0.9
    parabola = 600.0 * 4.0 * x * (1.0 - x) / 0.05
    assert measure_stroke(*one_drive("parabola")).rfd_n_per_s == pytest.approx(parabola, rel=1e-5)


def test_rate_of_force_development_between_samples() -> None:
    # 20 samples a second: the 50 ms lie on one straight line wherever they start.
    time_s = np.array([0.0, 0.05, 0.12, 0.2, 0.5])
    force_n = np.array([0.0, 10.0, 80.0, 100.0, 0.0])
    assert steepest_rise(time_s, force_n, 0.2) == pytest.approx(70.0 / 0.07)
    assert steepest_rise(time_s[:2] / 2.0, force_n[:2], 0.02) is None


def test_time_above_counts_parts_of_samples() -> None:
    time_s = np.array([0.0, 1.0, 2.0, 3.0])
    assert time_above(time_s, np.array([0.0, 10.0, 10.0, 0.0]), 5.0) == pytest.approx(2.0)
    assert time_above(time_s, np.array([0.0, 10.0, 10.0, 0.0]), 10.0) == pytest.approx(1.0)
    assert time_above(time_s, np.array([5.0, 5.0, 5.0, 5.0]), 5.1) == 0.0


def test_cut_drives_of_known_shape() -> None:
    # 5 % of the peak of a half sine lies asin(0.05) / pi into the drive, on both sides.
    trace = row()
    found = measure_all(trace, find_strokes(trace))
    lost = np.arcsin(0.05) / np.pi
    assert len(found) == 12
    for m in found:
        assert m.drive_s == pytest.approx(0.9 * (1.0 - 2.0 * lost), abs=0.001)
        assert m.peak_n == pytest.approx(600.0, rel=0.001)
        whole = 600.0 * 0.9 * 2.0 / np.pi
        assert m.impulse_ns == pytest.approx(whole * np.cos(np.pi * lost), rel=0.001)
    assert all(m.rate_spm == pytest.approx(24.0, abs=0.01) for m in found[:-1])
    assert found[-1].rate_spm is None
    assert found[-1].recovery_s is None


def test_without_position_there_is_no_length_or_work() -> None:
    trace, stroke = one_drive("half sine")
    found = measure_stroke(replace(trace, position_m=None), stroke)
    assert (found.length_m, found.work_j, found.length_to_peak_pct) == (None, None, None)
    still = measure_stroke(replace(trace, position_m=np.zeros(len(trace.time_s))), stroke)
    assert (still.length_m, still.work_j, still.length_to_peak_pct) == (None, None, None)


def test_work_is_force_over_way() -> None:
    # Handle eased in and out: work of an even force is force times way, however it moves.
    trace, stroke = one_drive("block")
    way = 0.7 * (1.0 - np.cos(np.pi * trace.time_s / 0.9))
    found = measure_stroke(replace(trace, position_m=way), stroke)
    assert found.work_j == pytest.approx(600.0 * 1.4, rel=1e-9)


def test_degenerate_strokes_have_what_can_be_told() -> None:
    trace, _ = one_drive("half sine")
    assert measure_stroke(trace, Stroke(0, 0.5, 0.5)) == Measures()
    short = measure_stroke(trace, Stroke(0, 0.1, 0.12))
    assert short.rfd_n_per_s is None
    assert short.drive_s == pytest.approx(0.02)
    dead = measure_stroke(ForceTrace(np.array([0.0, 1.0]), np.zeros(2)), Stroke(0, 0.2, 0.8))
    assert dead.mean_to_peak is None


@pytest.mark.parametrize("hz", [50.0, 200.0])
@pytest.mark.parametrize("noise", [0.006, 0.03])
def test_noise_moves_no_measure_much(hz: float, noise: float) -> None:
    quiet = row(strokes=40, hz=hz)
    rng = np.random.default_rng(7)
    force_n = quiet.force_n + rng.normal(0.0, noise * 600.0, len(quiet.time_s))
    noisy = ForceTrace(quiet.time_s, force_n, quiet.position_m)
    strokes = find_strokes(quiet)
    true = measure_all(quiet, strokes)
    found = measure_all(noisy, find_strokes(noisy))
    bounds = {
        "drive_s": 0.01,
        "recovery_s": 0.01,
        "rate_spm": 0.001,
        "peak_n": 0.015,
        "impulse_ns": 0.005,
        "mean_to_peak": 0.015,
        "time_to_peak_pct": 0.05,
        "rfd_n_per_s": 0.10,
        "plateau_pct": 0.06,
        "length_m": 0.005,
        "work_j": 0.005,
    }
    for name, bound in bounds.items():
        of_true = np.mean([v for m in true if (v := getattr(m, name)) is not None])
        of_found = np.mean([v for m in found if (v := getattr(m, name)) is not None])
        assert of_found == pytest.approx(of_true, rel=bound), name
