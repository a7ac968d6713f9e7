import numpy as np
import pytest
from scipy.signal import butter, filtfilt

from analysis.body.smoothing import calm_series, design_hz, low_pass


@pytest.mark.parametrize(("fs", "fc", "design"), [(100.0, 6.0, 7.43088), (30.0, 6.0, 7.02753)])
def test_two_passes_have_half_power_where_they_should(fs, fc, design):
    # Winter, 4th ed., p. 69: the pre-warped frequency is divided by 0.80224 for two passes.
    assert design_hz(fs, fc) == pytest.approx(design, abs=1e-5)
    time_s = np.arange(0.0, 40.0, 1.0 / fs)
    wave = np.sin(2.0 * np.pi * fc * time_s)
    passed = low_pass(wave, fs, fc)
    middle = slice(len(wave) // 4, 3 * len(wave) // 4)
    gain = np.sqrt(np.mean(passed[middle] ** 2) / np.mean(wave[middle] ** 2))
    assert gain == pytest.approx(0.70711, abs=1e-3)


def test_filter_is_scipys():
    noise = np.random.default_rng(0).normal(size=500)
    b, a = butter(2, 7.43088, fs=100.0)
    np.testing.assert_allclose(low_pass(noise, 100.0, 6.0), filtfilt(b, a, noise), atol=1e-5)


def test_holes_stay_holes_and_jumps_go():
    rng = np.random.default_rng(3)
    time_s = np.arange(0.0, 20.0, 1.0 / 30.0) + rng.uniform(0.0, 0.004, 600)
    true = np.sin(2.0 * np.pi * 0.5 * time_s)
    seen = true + rng.normal(0.0, 0.05, 600)
    seen[100:110] = np.nan
    smooth = calm_series(time_s, seen, 6.0)
    assert np.isnan(smooth[100:110]).all() and np.isnan(smooth).sum() == 10
    assert np.nanstd(smooth - true) < 0.7 * np.nanstd(seen - true)


def test_too_little_is_left_alone():
    few = np.array([1.0, np.nan, 2.0])
    np.testing.assert_array_equal(calm_series(np.arange(3.0), few, 6.0), few)
