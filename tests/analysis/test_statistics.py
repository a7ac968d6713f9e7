import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import binomtest, chi2, theilslopes
from scipy.stats import t as student

from analysis.statistics import early_and_late, spread_share, trend, wilson


@given(st.integers(1, 400), st.data())
def test_wilson_solves_its_own_equation(count, data):
    """Both ends are shares p from which the seen one is 1.96 standard errors away."""
    hits = data.draw(st.integers(0, count))
    for end in wilson(hits, count):
        assert (hits / count - end) ** 2 == pytest.approx(
            1.959963984540054**2 * end * (1.0 - end) / count, abs=1e-9
        )


def test_wilson_of_a_textbook():
    # Newcombe 1998, Stat Med 17:857-872, table I: 81 of 263, 0.2553 to 0.3662; 0 of 20, to 0.1611.
    assert wilson(81, 263) == pytest.approx((0.2553, 0.3662), abs=5e-5)
    assert wilson(0, 20) == pytest.approx((0.0, 0.1611), abs=5e-5)


def test_wilson_of_nothing():
    assert wilson(0, 0) == (0.0, 1.0)


def alike(rng: np.random.Generator, count: int, keep: float) -> np.ndarray:
    out = rng.standard_normal(count)
    for i in range(1, count):
        out[i] = keep * out[i - 1] + (1 - keep**2) ** 0.5 * out[i]
    return out


@pytest.mark.parametrize(("count", "keep"), [(14, 0.0), (14, 0.5), (60, 0.6)])
def test_trend_interval_holds_what_it_says(count, keep):
    rng = np.random.default_rng(8)
    inside = []
    for _ in range(400):
        line = np.linspace(500.0, 450.0, count)
        found = trend(line + 10.0 * alike(rng, count, keep))
        inside.append(found.low <= -0.1 <= found.high)
    assert 0.88 < np.mean(inside) <= 1.0


def test_slope_is_scipys():
    values = 400.0 + np.random.default_rng(1).normal(0.0, 12.0, 25) - 2.0 * np.arange(25)
    found = trend(values)
    slope = theilslopes(values)[0]
    assert (found.last - found.first) / 24.0 == pytest.approx(slope)


def test_one_odd_stroke_turns_no_trend():
    values = np.full(15, 400.0)
    values[-1] = 100.0
    assert abs(trend(values).change) < 1e-9


def test_long_pieces_need_no_square_of_memory():
    found = trend(np.linspace(500.0, 400.0, 20_000))
    assert found.change == pytest.approx(-0.2)


def test_too_few_strokes_have_no_trend():
    assert trend(np.ones(4)) is None
    assert early_and_late(np.ones(12)) is None


def test_spread_is_about_the_trend():
    rng = np.random.default_rng(2)
    values = np.linspace(500.0, 400.0, 200) + rng.normal(0.0, 20.0, 200)
    share, low, high = spread_share(values)
    assert share == pytest.approx(20.0 / 450.0, rel=0.12)
    assert low < 20.0 / 450.0 < high


def test_early_and_late_interval_holds_what_it_says():
    rng = np.random.default_rng(3)
    inside = []
    for _ in range(120):
        values = 400.0 + 12.0 * alike(rng, 60, 0.3)
        values[40:] *= 0.9
        found = early_and_late(values, rounds=300)
        inside.append(found.low <= -0.1 <= found.high)
    assert np.mean(inside) > 0.82


@given(st.integers(1, 500), st.data())
def test_quantiles_are_those_of_the_large_library(count, data):
    """The same functions, asked without loading all of scipy.stats."""
    hits = data.draw(st.integers(0, count))
    told = binomtest(hits, count).proportion_ci(0.95, "wilson")
    assert wilson(hits, count) == pytest.approx((told.low, told.high), abs=1e-12)


def test_a_trend_and_a_spread_have_students_and_chi_squares_quantiles():
    values = 500.0 + np.random.default_rng(4).normal(0.0, 20.0, 40)
    line = trend(values)
    assert line is not None
    low, high = line.between(0.9)
    assert (high - low) / 2 == pytest.approx(student.ppf(0.95, line.freedom) * line.error)
    assert line.high - line.change == pytest.approx(student.ppf(0.975, line.freedom) * line.error)
    share, near, far = spread_share(values)
    # Both ends tell the same degrees of freedom, somewhere up to n - 2.
    freedom = [f for f in np.linspace(1.0, 38.0, 7401)
               if abs(share / far - np.sqrt(chi2.ppf(0.025, f) / f)) < 2e-4]  # fmt: skip
    assert any(abs(share / near - np.sqrt(chi2.ppf(0.975, f) / f)) < 1e-3 for f in freedom)
