"""What strokes that resemble their neighbours say of their mean, against matrices and draws."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.linalg import toeplitz
from scipy.signal import lfilter

from analysis.comparing import alike
from analysis.comparing.alike import FEW, is_hint, resemblance, spread_of


@pytest.mark.parametrize("rho", [0.0, 0.3, 0.6, 0.9])
@pytest.mark.parametrize("n", [5, 12, 40])
def test_the_variance_of_a_mean_is_that_of_the_covariance_matrix(
    monkeypatch: pytest.MonkeyPatch, n: int, rho: float
) -> None:
    monkeypatch.setattr(alike, "resemblance", lambda _values: rho)
    covariance = toeplitz(rho ** np.arange(n))
    mean_variance = covariance.sum() / n**2
    # What the sample variance is on average: the trace of the centred matrix.
    centred = np.eye(n) - 1.0 / n
    seen = np.trace(centred @ covariance) / (n - 1.0)
    values = np.arange(n, dtype=float)
    values *= (seen / values.var(ddof=1)) ** 0.5
    found = spread_of(values)
    assert found.variance == pytest.approx(1.0)
    assert found.mean_variance == pytest.approx(mean_variance)
    assert found.freedom == pytest.approx(max(1.0 / mean_variance - 1.0, 1.0))


@pytest.mark.parametrize(("n", "within"), [(12, 0.1), (40, 0.03)])
def test_resemblance_is_right_on_average(n: int, within: float) -> None:
    rows = lfilter([1.0], [1.0, -0.5], np.random.default_rng(3).normal(size=(2000, n + 40)))
    found = [resemblance(row[40:]) for row in rows]
    assert np.mean(found) == pytest.approx(0.5, abs=within)


def test_equal_alternating_and_very_few_strokes_resemble_each_other_in_no_way() -> None:
    assert resemblance(np.full(9, 4.0)) == 0.0
    assert resemblance(np.array([1.0, -1.0] * 6)) == 0.0
    assert resemblance(np.array([1.0, 2.0, 3.0])) == 0.0
    assert resemblance(np.arange(30.0)) == alike.LARGEST
    assert resemblance(np.arange(12.0)) == alike.LARGEST_OF_FEW


def test_few_strokes_are_a_hint_unless_they_are_plainly_alike() -> None:
    rng = np.random.default_rng(5)
    many, few = rng.normal(size=FEW), rng.normal(size=FEW - 1)
    assert not is_hint(many)
    assert is_hint(few) and is_hint(many, few)
    alike_few = np.repeat(rng.normal(size=4), 4)
    assert not is_hint(alike_few, many)
    assert is_hint(few, np.repeat(rng.normal(size=10), 4)), "the many do not speak for the few"
    assert is_hint(np.repeat(rng.normal(size=3), 2), many)
