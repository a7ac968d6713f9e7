"""The line through all strokes, against the textbook's weighted least squares."""

from __future__ import annotations

import numpy as np
import pytest

from analysis.clocks.fit import Witness, fit_line
from analysis.clocks.lags import Observed
from analysis.clocks.unknowns import Late


def seen(trace_s: np.ndarray, video_s: np.ndarray) -> Observed:
    n = len(trace_s)
    return Observed(np.arange(n), trace_s, video_s, np.ones(n), np.zeros(n, bool))


def test_a_wide_prior_gives_ordinary_least_squares() -> None:
    rng = np.random.default_rng(2)
    trace_s = np.sort(rng.uniform(0.0, 60.0, 40))
    video_s = 3.0 + 1.0004 * trace_s + rng.uniform(-0.004, 0.004, 40)
    fit = fit_line(
        [Witness("picture", seen(trace_s, video_s), Late(0.0, 1e-6), 0.05)], drift_sd=1.0
    )
    slope, offset = np.polyfit(trace_s, video_s, 1)
    assert fit.slope == pytest.approx(slope, abs=2e-6)
    assert fit.offset_s == pytest.approx(offset, abs=1e-4)


def test_one_stroke_out_of_place_hardly_counts() -> None:
    trace_s = np.arange(0.0, 40.0, 2.0)
    video_s = trace_s + 1.0 + 0.002 * np.sin(trace_s)
    video_s[7] += 0.2
    fit = fit_line([Witness("picture", seen(trace_s, video_s), Late(0.0, 0.004), 0.004)])
    assert fit.offset_s == pytest.approx(1.0, abs=0.004)


def test_two_witnesses_are_weighed_by_what_they_can_be_trusted_with() -> None:
    trace_s = np.arange(0.0, 40.0, 2.0)
    good = Witness("picture", seen(trace_s, trace_s + 1.000), Late(0.0, 0.005), 0.004)
    late = Witness("sound", seen(trace_s, trace_s + 1.030), Late(0.0, 0.020), 0.004)
    fit = fit_line([good, late])
    # Means weighed by the inverse squares of the biases: 1.000 and 1.030 at 16 to 1.
    assert fit.offset_s == pytest.approx(1.0 + 0.030 / 17.0, abs=5e-4)
    alone = fit_line([good])
    assert fit.sd_at(20.0) < alone.sd_at(20.0)
    # More strokes do not take away what all have in common.
    assert alone.sd_at(20.0) > 0.0049
