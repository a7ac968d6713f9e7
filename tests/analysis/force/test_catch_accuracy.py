"""How far catches and finishes may be off, at any rate of samples and with little or much noise.

The whole table is `python -m tests.benchmarks.catch_accuracy`; bounds here are about twice what it
says.
"""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest

from analysis.force.piece import PieceAnalysis, analyse
from tests.benchmarks.catch_accuracy import CURVES, draw, errors

# 95 % of catches, ms, by samples a second.
CATCH_MS = {20.0: 25.0, 25.0: 20.0, 30.0: 16.0, 50.0: 12.0, 100.0: 9.0, 500.0: 9.0}


@pytest.mark.parametrize("hz", CATCH_MS)
@pytest.mark.parametrize("noise", [0.0, 0.003, 0.005, 0.01])
def test_catches_at_any_rate_with_little_noise(hz: float, noise: float) -> None:
    for seed, name in enumerate(CURVES):
        found = errors(draw(name, hz, noise, 900 + seed, strokes=30))
        assert found.missed == 0
        assert 1e3 * float(np.percentile(np.abs(found.catch_s), 95)) < CATCH_MS[hz], name


@pytest.mark.parametrize("hz", [20.0, 25.0, 30.0])
@pytest.mark.parametrize("name", ["quick catch", "full beta", "two humps"])
def test_a_quick_catch_on_few_samples_is_not_late(name: str, hz: float) -> None:
    found = errors(draw(name, hz, 0.005, 17, strokes=60))
    assert abs(float(found.catch_s.mean())) < 0.010


@cache
def quiet_piece(hz: float) -> PieceAnalysis:
    """The piece without noise that those with it are held against."""
    return analyse(draw("faint finish", hz, 0.0, 23, strokes=40).trace)


@pytest.mark.parametrize(("noise", "within_s"), [(0.003, 0.03), (0.01, 0.03), (0.03, 0.06)])
@pytest.mark.parametrize("hz", [50.0, 100.0, 200.0])
def test_a_faint_finish_ends_where_its_force_does(hz: float, noise: float, within_s: float) -> None:
    drawn = draw("faint finish", hz, noise, 23, strokes=40)
    found = errors(drawn)
    assert found.missed == 0
    assert abs(float(np.median(found.finish_s))) < within_s
    quiet = quiet_piece(hz)
    noisy = analyse(drawn.trace)
    for key in ("drive_s", "mean_to_peak"):
        true = np.array([m[key] for m in quiet.measures])
        read = np.array([m[key] for m in noisy.measures])
        assert float(np.median(read)) == pytest.approx(float(np.median(true)), rel=0.06), key
