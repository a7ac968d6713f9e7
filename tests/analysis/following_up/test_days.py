"""How far days differ is guessed from what nobody prescribed."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.stats import t as student

from analysis.following_up.conditions import conditions_of
from analysis.following_up.days import DAY, guessed, lie_apart, quantile, together
from tests.helpers.drawn_athletes import Athlete, piece_of


def test_nothing_seen_leaves_the_guess_and_little_trust_in_it() -> None:
    day = guessed([])
    assert day.variance == DAY and day.freedom == 2.0


@pytest.mark.parametrize("day", [0.3, 1.0, 2.0])
def test_many_measures_tell_how_far_days_differ(day: float) -> None:
    rng = np.random.default_rng(3)
    seen: list[float] = []
    for _ in range(80):
        pair = conditions_of(*(piece_of(rng, Athlete(day)) for _ in range(2))).pair
        if pair is not None:
            keys = [key for key in pair.after.measures if key not in ("rate_spm", "mean_n")]
            seen += lie_apart(pair, keys).values()
    strokes = 2.0 / 40.0  # what the mean of so many strokes differs by, and a little more
    assert float(np.mean(seen)) == pytest.approx(day**2 + strokes, rel=0.2)
    # Ten measures count five to the guess's two.
    mine = guessed(seen[:10])
    assert mine.freedom == 7.0
    assert mine.variance == pytest.approx((2.0 * DAY + 5.0 * np.mean(seen[:10])) / 7.0)


def test_what_another_rate_may_have_moved_says_nothing_of_days() -> None:
    rng = np.random.default_rng(4)
    steady = Athlete(0.1)
    pair = conditions_of(piece_of(rng, steady), piece_of(rng, steady, rate_spm=24.5)).pair
    assert pair is not None
    apart = lie_apart(pair, ("recovery_s", "time_to_peak_pct", "mean_to_peak"))
    assert "recovery_s" not in apart and "time_to_peak_pct" in apart


def test_quantiles_are_students() -> None:
    for freedom in (1.0, 2.5, 7.0, 300.0):
        for chance in (0.5, 0.05, 0.001):
            assert quantile(freedom, chance) == pytest.approx(student.ppf(1 - chance / 2, freedom))


def test_variances_add_and_the_vaguer_one_counts() -> None:
    total, freedom = together([(1.0, 4.0), (1.0, 4.0)])
    assert (total, freedom) == (2.0, 8.0)
    assert together([(3.0, 2.0), (1e-12, 50.0)])[1] == pytest.approx(2.0)
    assert together([(0.0, 3.0)]) == (0.0, 1.0)
