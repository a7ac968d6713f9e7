"""The slip at the catch: from the first movement of the handle to 30 % of the peak."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from analysis.force.measures import measure_stroke
from analysis.force.trace import ForceTrace
from analysis.signals.stroke import Stroke

RAMP_S, DRIVE_S = 0.3, 0.9


def caught(
    late_s: float, hz: float = 100.0, dwell_s: float = 0.0, noise_m: float = 0.0
) -> ForceTrace:
    """A handle that speeds up evenly from 0 s, after a stand, under a force that comes later.

    Force rises in a line to 500 N in 0.3 s: 30 % of it after 0.09 s. The handle is 5 mm away
    after sqrt(2 * 0.005 / 6) = 0.0408 s.
    """
    time_s = np.arange(round(-1.2 * hz), round(1.4 * hz)) / hz
    since = time_s - late_s
    rise = np.clip(since / RAMP_S, 0.0, 1.0)
    force_n = 500.0 * np.minimum(rise, np.clip((DRIVE_S - since) / 0.4, 0.0, 1.0))
    pushing, away = np.clip(time_s, 0.0, 0.3), np.clip(time_s - 0.3, 0.0, 0.7)
    out = 3.0 * pushing**2 + 1.8 * away
    home = 0.9 * np.clip(-dwell_s - time_s, 0.0, None)
    noise = np.random.default_rng(3).normal(0.0, noise_m, len(time_s))
    return ForceTrace(time_s, force_n, out + home + noise)


def slip_of(trace: ForceTrace, late_s: float) -> float:
    slip = measure_stroke(trace, Stroke(0, late_s + 0.015, late_s + DRIVE_S - 0.02, 2.3)).slip_s
    assert slip is not None
    return slip


MOVED_S = (2.0 * 0.005 / 6.0) ** 0.5


@pytest.mark.parametrize("hz", [50.0, 100.0, 250.0])
@pytest.mark.parametrize("late_s", [0.0, 0.05, 0.12])
def test_force_that_comes_late_is_slip(hz: float, late_s: float) -> None:
    trace = caught(late_s, hz, dwell_s=0.15)
    assert slip_of(trace, late_s) == pytest.approx(0.09 + late_s - MOVED_S, abs=0.012)


@settings(max_examples=20, deadline=None)
@given(st.floats(0.0, 0.15), st.floats(0.0, 0.4))
def test_what_is_added_is_found(late_s: float, dwell_s: float) -> None:
    """However long the handle stands, slip grows by just as much as force comes later."""
    on_time = slip_of(caught(0.0, 200.0, dwell_s), 0.0)
    assert slip_of(caught(late_s, 200.0, dwell_s), late_s) - on_time == pytest.approx(
        late_s, abs=0.006
    )


def test_noise_is_no_movement() -> None:
    trace = caught(0.08, 100.0, dwell_s=0.3, noise_m=0.002)
    assert slip_of(trace, 0.08) == pytest.approx(0.17 - MOVED_S, abs=0.03)


def test_force_before_the_handle_moves_is_no_slip() -> None:
    assert slip_of(caught(-0.2, dwell_s=0.3), -0.2) == 0.0


def test_needs_a_handle_and_its_turn() -> None:
    trace = caught(0.05)
    bare = ForceTrace(trace.time_s, trace.force_n)
    assert measure_stroke(bare, Stroke(0, 0.065, 0.93)).slip_s is None
    late = trace.time_s > 0.07
    assert trace.position_m is not None
    begun = ForceTrace(trace.time_s[late], trace.force_n[late], trace.position_m[late])
    assert measure_stroke(begun, Stroke(0, 0.065, 0.93)).slip_s is None
