import math

import numpy as np
import pytest

from samples.flywheel import Flywheel, running_integral
from samples.piece import PieceOptions, simulate_piece

REFERENCE = Flywheel(inertia_kgm2=0.1, drag_nms2=1.2e-4, sprocket_m=0.013)


def test_coast_down_matches_the_closed_form():
    # Constructed reference: I 0.1, k 1.2e-4, 100 rad/s, 1.5 s, worked out from
    # 1/w = 1/w0 + k t / I by hand.
    speed = REFERENCE.coast(100.0, np.array(1.5))
    angle = REFERENCE.coast_angle(100.0, np.array(1.5))
    assert float(speed) == pytest.approx(84.74576, abs=1e-5)
    assert float(angle) == pytest.approx(137.92870, abs=1e-5)
    lost = 0.5 * 0.1 * (100.0**2 - float(speed) ** 2)
    assert lost == pytest.approx(140.9078, abs=1e-4)


def test_equal_angle_pulses_grow_by_a_constant_factor():
    times = np.linspace(0.0, 1.5, 20001)
    angle = REFERENCE.coast_angle(100.0, times)
    at = np.interp(np.arange(0.0, 130.0, 10.0), angle, times)
    growth = np.diff(at)[1:] / np.diff(at)[:-1]
    assert growth == pytest.approx(np.full(len(growth), math.exp(1.2e-4 * 10.0 / 0.1)), rel=1e-5)


def half_sine_cycle(omega: float, steps: int) -> tuple[np.ndarray, float]:
    drive = REFERENCE.pull_over_time(
        omega, lambda t: 600.0 * math.sin(math.pi * t / 0.85), 0.85, steps
    )
    return drive, float(REFERENCE.coast(drive[-1, 0], np.array(2.5 - 0.85)))


def test_full_cycle_matches_the_constructed_reference():
    # Constructed reference, computed by an independent RK4 script: half-sine of 600 N for 0.85 s
    # of a 2.5 s cycle in its periodic steady state.
    omega = 105.0
    for _ in range(60):
        omega = half_sine_cycle(omega, 120)[1]
    drive, after = half_sine_cycle(omega, 1000)
    assert after == pytest.approx(omega, abs=1e-4)
    assert omega == pytest.approx(104.9563, abs=2e-4)
    assert drive[-1, 0] == pytest.approx(132.4893, abs=2e-4)
    assert drive[:, 0].min() == pytest.approx(104.6548, abs=2e-4)
    assert drive[:, 0].max() == pytest.approx(133.2760, abs=2e-4)
    assert drive[-1, 1] * 0.013 == pytest.approx(1.3201, abs=1e-4)
    assert drive[-1, 2] == pytest.approx(504.993, abs=2e-3)
    coasting_loss = 0.5 * 0.1 * (drive[-1, 0] ** 2 - after**2)
    assert drive[-1, 3] + coasting_loss == pytest.approx(504.993, abs=2e-3)


def test_force_over_length_gives_the_same_pull_as_force_over_time():
    # The integral over the length against stepping through time: two ways to the same pull.
    by_time = REFERENCE.pull_over_time(
        105.0, lambda t: 600.0 * math.sin(math.pi * t / 0.85), 0.85, 2000
    )
    travel = by_time[:, 1] * 0.013
    even = np.linspace(0.0, travel[-1], 401)
    force = np.interp(even, travel, 600.0 * np.sin(np.pi * np.linspace(0.0, 1.0, 2001)))
    speed = REFERENCE.drive(105.0, even, force)
    assert speed == pytest.approx(np.interp(even, travel, by_time[:, 0]), abs=2e-3)
    elapsed = running_integral(1.0 / (0.013 * speed), even[1])
    assert elapsed[-1] == pytest.approx(0.85, abs=2e-5)


@pytest.mark.parametrize("rate", [18.0, 26.0, 36.0])
def test_work_at_the_handle_is_what_the_drag_takes(rate):
    # Steady cycle, no variation. Tolerance 0.2 %: sums over a 2 kHz grid, not the physics.
    options = PieceOptions(rate_spm=rate, duration_s=20.0, variation=0.0, grid_hz=2000.0)
    piece = simulate_piece(options)
    cycle = piece.cycles[3]
    part = (piece.time_s >= cycle.start_s) & (piece.time_s <= cycle.end_s)
    work = np.trapezoid(piece.force_n[part], piece.handle_m[part])
    drag = options.flywheel.drag_nms2 * piece.flywheel_rad_s[part] ** 3
    assert work == pytest.approx(np.trapezoid(drag, piece.time_s[part]), rel=2e-3)
    # Work per stroke of trained rowers, 400-900 J over the usual rates (general literature, from
    # memory); a club rower at low rate may stay a little below.
    assert 350.0 < work < 900.0
