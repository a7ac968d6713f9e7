"""The low-pass pulls are looked for on, against the library it stands in for."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.signal import butter, sosfiltfilt

from analysis.force.cutting import low_pass


@given(
    st.integers(16, 400),
    st.floats(0.001, 0.02),
    st.floats(1.0, 22.0),
    st.integers(0, 2**32 - 1),
)
def test_low_pass_is_a_butterworth_there_and_back(
    count: int, step_s: float, cut_hz: float, seed: int
) -> None:
    values = np.random.default_rng(seed).normal(300.0, 200.0, count).cumsum()
    passed = low_pass(values, step_s, cut_hz)
    if cut_hz >= 0.9 * 0.5 / step_s:
        assert passed is values
        return
    sections = butter(2, cut_hz * 2.0 * step_s, output="sos")
    expected = sosfiltfilt(sections, values, padlen=min(count - 1, 15))
    np.testing.assert_allclose(passed, expected, rtol=1e-8, atol=1e-6 * np.abs(values).max())


@pytest.mark.parametrize("count", [0, 1, 15])
def test_too_few_values_are_left_alone(count: int) -> None:
    values = np.arange(float(count))
    np.testing.assert_array_equal(low_pass(values, 0.01, 8.0), values)
