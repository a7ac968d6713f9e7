from __future__ import annotations

import numpy as np
import pytest

from analysis.comparing.curves import force_pair
from analysis.force.curves import stroke_curve
from analysis.force.trace import ForceTrace
from analysis.signals.stroke import Stroke


def half_sine(peak_n: float, drive_s: float, catch_s: float) -> tuple[ForceTrace, Stroke]:
    time_s = np.arange(0.0, 6.0, 0.005)
    share = np.clip((time_s - catch_s) / drive_s, 0.0, 1.0)
    trace = ForceTrace(time_s, peak_n * np.sin(np.pi * share), 1.3 * share)
    return trace, Stroke(0, catch_s, catch_s + drive_s, catch_s + 2.5)


SLOW, QUICK = half_sine(600.0, 1.0, 0.5), half_sine(500.0, 0.8, 2.0)


def test_by_percent_the_difference_is_that_of_the_two_sines() -> None:
    pair = force_pair(SLOW, QUICK, "percent")
    assert pair is not None
    want = -100.0 * np.sin(np.pi * pair.along / 100.0)
    assert np.allclose(pair.difference, want, atol=0.5)
    assert pair.largest is not None
    assert pair.largest == (pytest.approx(50.0, abs=0.5), pytest.approx(-100.0, abs=0.2))
    # The same curve the rest of the house draws.
    assert np.allclose(pair.left[::2], stroke_curve(*SLOW), atol=1e-9)


def test_by_time_each_curve_ends_when_its_drive_does() -> None:
    pair = force_pair(SLOW, QUICK, "time")
    assert pair is not None
    assert pair.along[-1] == pytest.approx(1.0)
    assert np.isfinite(pair.left).all()
    assert np.isnan(pair.right[pair.along > 0.8001]).all()
    assert np.isfinite(pair.right[pair.along < 0.7999]).all()
    at = int(np.argmin(np.abs(pair.along - 0.4)))
    assert pair.right[at] == pytest.approx(500.0, abs=0.5)


def test_by_length_needs_the_handle_of_both() -> None:
    pair = force_pair(SLOW, QUICK, "length")
    assert pair is not None and pair.along[-1] == pytest.approx(1.3, abs=1e-6)
    assert pair.largest is not None and pair.largest[0] == pytest.approx(0.65, abs=0.02)
    blind = ForceTrace(QUICK[0].time_s, QUICK[0].force_n)
    assert force_pair(SLOW, (blind, QUICK[1]), "length") is None
