"""The long-run variance of a mean, against covariance matrices and published identities."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.linalg import toeplitz

from analysis.comparing.mean_error import changes_slowly, mean_error
from tests.helpers.dependent import rows


@pytest.mark.parametrize("rho", [0.0, 0.3, 0.5])
def test_on_average_it_is_the_variance_the_covariance_matrix_gives(rho: float) -> None:
    n = 60
    kind = {0.0: "unrelated", 0.3: "AR(1) 0.3", 0.5: "AR(1) 0.6"}[rho]
    true = toeplitz((0.6 if rho == 0.5 else rho) ** np.arange(n)).sum() / n**2
    found = [mean_error(r).variance for r in rows(kind, 3000, n, np.random.default_rng(1))]
    # Below it, for a mean is slower still than the slowest cosine.
    assert 0.88 * true < np.mean(found) < 1.03 * true


def test_all_cosines_together_are_the_sample_variance() -> None:
    """Parseval: with every cosine counted it is the textbook's s squared over n."""
    values = np.array([3.0, 4.5])
    assert mean_error(values).variance == pytest.approx(values.var(ddof=1) / 2)


def test_the_spread_of_a_stroke_is_put_right() -> None:
    found = [
        mean_error(r).stroke_variance for r in rows("AR(1) 0.6", 3000, 12, np.random.default_rng(2))
    ]
    plain = [r.var(ddof=1) for r in rows("AR(1) 0.6", 3000, 12, np.random.default_rng(2))]
    assert np.mean(found) > np.mean(plain)
    assert abs(np.mean(found) - 1.0) < 0.6 * abs(np.mean(plain) - 1.0)


def test_slow_change_is_seen_as_often_as_said_where_there_is_none() -> None:
    rng = np.random.default_rng(3)
    assert np.mean([changes_slowly(r) for r in rows("unrelated", 2000, 30, rng)]) < 0.075
    assert np.mean([changes_slowly(r) for r in rows("AR(2) 0.5 0.3", 200, 40, rng)]) > 0.85
    assert changes_slowly(np.linspace(0.0, 1.0, 30) + 0.01 * rng.normal(size=30))
    assert not changes_slowly(np.full(30, 4.0))
