"""The intervals against theory, against scipy, and against published worked examples."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import stats
from scipy.signal import lfilter

from analysis.comparing.alike import resemblance
from analysis.comparing.variation import (
    Interval,
    compare_measures,
    difference_of_means,
    single_stroke,
    two_strokes,
)
from tests.helpers.rowed import force_of, rowed

# Survival of mice after surgery, days: Efron & Tibshirani 1993, "An Introduction to the
# Bootstrap", table 2.1 (data from memory; means and standard errors below are the book's).
TREATED = np.array([94.0, 197.0, 16.0, 38.0, 99.0, 141.0, 23.0])
CONTROL = np.array([52.0, 104.0, 146.0, 10.0, 51.0, 30.0, 40.0, 27.0, 46.0])


def test_the_mice_of_efron_and_tibshirani() -> None:
    found = difference_of_means(CONTROL, TREATED)
    assert found.difference == pytest.approx(30.63, abs=0.01)
    error = np.hypot(TREATED.std(ddof=1) / 7**0.5, CONTROL.std(ddof=1) / 3.0)
    assert error == pytest.approx(28.93, abs=0.01)
    # Their verdict: 1.05 standard errors from 0, no evidence of a difference.
    assert not found.beyond_none
    assert found.low == pytest.approx(30.63 - 2.26 * 28.93, rel=0.15)  # t of Welch's 9.65
    assert found.high == pytest.approx(30.63 + 2.26 * 28.93, rel=0.15)


def test_with_many_values_it_is_the_interval_scipy_finds() -> None:
    rng = np.random.default_rng(8)
    left, right = rng.gamma(4.0, 20.0, 120), rng.gamma(5.0, 20.0, 150)
    found = difference_of_means(left, right)
    other = stats.bootstrap(
        (right, left),
        lambda a, b, axis: a.mean(axis=axis) - b.mean(axis=axis),
        n_resamples=9999,
        method="percentile",
        rng=np.random.default_rng(1),
    ).confidence_interval
    width = other.high - other.low
    assert found.low == pytest.approx(other.low, abs=0.08 * width)
    assert found.high == pytest.approx(other.high, abs=0.08 * width)


@pytest.mark.parametrize(("left_n", "right_n"), [(5, 5), (8, 20)])
def test_normal_values_are_covered_as_often_as_promised(left_n: int, right_n: int) -> None:
    rng = np.random.default_rng(left_n)
    rounds = 500
    hits = sum(
        not difference_of_means(rng.normal(0, 1, left_n), rng.normal(0, 1, right_n)).beyond_none
        for _ in range(rounds)
    )
    # 95 % with a binomial standard error of 1 %, three of them down; up as far as strokes that look
    # alike by chance make ranges wider, the more so the fewer they are.
    assert 0.92 <= hits / rounds <= 0.996


@pytest.mark.parametrize("kind", ["one", "two"])
def test_single_strokes_lie_within_the_prediction_interval_as_often_as_promised(kind: str) -> None:
    rng = np.random.default_rng(3)
    rounds = 3000
    hits = 0
    for _ in range(rounds):
        many = rng.normal(50.0, 4.0, 9)
        new = rng.normal(50.0, 4.0, 2)
        found = single_stroke(many, new[0]) if kind == "one" else two_strokes(many, new[0], new[1])
        hits += not found.beyond_none
    assert hits / rounds == pytest.approx(0.95, abs=0.012)


def test_the_prediction_interval_is_the_formula_of_the_handbooks() -> None:
    many = np.array([51.4, 48.7, 51.6, 49.3, 49.5])  # Hahn 1970, J Qual Tech 2 (from memory)
    assert resemblance(many) == 0.0, "in this order; the handbooks mean unrelated values"
    found = single_stroke(many, 50.1)  # their mean, so that the interval is the half width
    # n = 5, mean 50.10, s 1.31: 50.10 ± 3.04 * 1.31, 3.04 being the tabled factor.
    assert found.difference == pytest.approx(0.0, abs=1e-9)
    assert found.high == pytest.approx(3.04 * many.std(ddof=1), rel=2e-3)


def test_neighbours_that_resemble_each_other_count_for_less() -> None:
    rng = np.random.default_rng(2)
    alike = np.repeat(rng.normal(size=8), 5)  # each value five times over
    wide = difference_of_means(alike, alike + 0.1)
    narrow = difference_of_means(rng.permutation(alike), rng.permutation(alike) + 0.1)
    assert wide.high - wide.low > narrow.high - narrow.low
    one, other = single_stroke(alike, 0.0), single_stroke(rng.permutation(alike), 0.0)
    assert one.high - one.low > other.high - other.low


@pytest.mark.parametrize("rho", [0.3, 0.6])
def test_strokes_that_are_alike_are_covered_as_promised_too(rho: float) -> None:
    rng = np.random.default_rng(4)
    rounds, n = 400, 12
    rows = lfilter([1.0], [1.0, -rho], rng.normal(size=(2 * rounds, n + 40)))[:, 40:]
    hits = sum(
        not difference_of_means(a, b).beyond_none
        for a, b in zip(rows[::2], rows[1::2], strict=True)
    )
    # Unrelated strokes assumed, it were 70 % at rho 0.6; three standard errors are 3.3 %.
    assert hits / rounds >= 0.915


def test_equal_strokes_give_an_interval_of_no_width() -> None:
    assert difference_of_means(np.full(6, 3.0), np.full(6, 3.0)) == Interval(0.0, 0.0, 0.0)
    assert difference_of_means(np.full(6, 3.0), np.full(6, 4.0)).beyond_none


def test_a_piece_with_a_fault_differs_where_the_fault_shows_and_not_elsewhere() -> None:
    clean, again = force_of(rowed(seed=7)), force_of(rowed(seed=11))
    late = force_of(rowed("early-loss", 1.0, seed=7))
    assert clean.typical and again.typical and late.typical
    said = {
        r.name: r for r in compare_measures((clean, clean.typical), (late, late.typical), False)
    }
    assert said["impulse_ns"].basis == "means"
    assert any(row.hint for row in said.values()), "twelve strokes are few"
    assert said["mean_to_peak"].verdict == "more"
    same = compare_measures((clean, clean.typical), (again, again.typical), False)
    assert sum(row.verdict == "more" for row in same) <= 3, "one in twenty by chance, and alike"


def test_two_strokes_of_one_piece_are_judged_by_its_other_strokes() -> None:
    piece = force_of(rowed())
    rows = compare_measures((piece, piece.strokes[2]), (piece, piece.strokes[6]), True)
    assert {row.basis for row in rows} == {"same_piece"}
    peak = next(row for row in rows if row.name == "peak_n")
    assert (peak.left, peak.right) == (piece.measures[2].peak_n, piece.measures[6].peak_n)
    assert peak.interval is not None and peak.interval.difference == peak.difference


def test_one_stroke_against_many_and_few_against_few() -> None:
    many, few = force_of(rowed()), force_of(rowed(strokes=3, seed=3))
    one = few.strokes[1]
    assert many.typical is not None
    row = compare_measures((few, one), (many, many.typical), False)[0]
    turned = compare_measures((many, many.typical), (few, one), False)[0]
    assert row.basis == turned.basis == "one_of_many"
    assert row.interval is not None and turned.interval is not None
    assert row.interval.low == pytest.approx(-turned.interval.high)
    assert row.difference == pytest.approx(-(turned.difference or 0.0))
    rows = compare_measures((few, one), (few, one), False)
    assert {r.verdict for r in rows} == {"too_few"} and rows[0].interval is None
