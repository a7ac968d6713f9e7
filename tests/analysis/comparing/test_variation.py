"""The intervals against theory, against scipy, and against published worked examples."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import stats

from analysis.body.picture_piece import PicturePiece
from analysis.body.piece import analyse_body
from analysis.comparing.variation import (
    BY_TURNS,
    Interval,
    compare_measures,
    difference_of_means,
    judge_together,
    means_apart,
    single_stroke,
    two_strokes,
)
from tests.benchmarks.comparison_intervals import held, tables_that_say_more
from tests.helpers.dependent import KINDS
from tests.helpers.followed import track_of
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
    # Mice have no order: over all orders the cosines give the book's standard error.
    rng = np.random.default_rng(0)
    orders = (means_apart(rng.permutation(CONTROL), rng.permutation(TREATED)) for _ in range(3000))
    assert np.mean([each.variance for each in orders]) == pytest.approx(28.93**2, rel=0.03)


def test_with_many_values_it_is_as_wide_as_the_interval_scipy_finds() -> None:
    rng = np.random.default_rng(8)
    widths = []
    for _ in range(40):
        left, right = rng.gamma(4.0, 20.0, 120), rng.gamma(5.0, 20.0, 150)
        found = difference_of_means(left, right)
        other = stats.ttest_ind(right, left, equal_var=False).confidence_interval()
        assert found.difference == pytest.approx(0.5 * (other.low + other.high))
        widths.append((found.high - found.low) / (other.high - other.low))
    # A dozen cosines instead of hundreds of strokes: Student's t is a little wider.
    assert 1.0 < np.mean(widths) < 1.2


@pytest.mark.parametrize(("left_n", "right_n"), [(5, 5), (12, 12), (8, 20)])
def test_normal_values_are_covered_as_often_as_promised(left_n: int, right_n: int) -> None:
    assert held("unrelated", (left_n, right_n), 600)[0] == pytest.approx(0.955, abs=0.025)


# The laws are none that the interval was made for. Three standard errors of 600 rounds are 2.7 %.
@pytest.mark.parametrize("scale", [1.0, 3.0])
@pytest.mark.parametrize("kind", ["AR(1) 0.3", "AR(1) 0.6", "AR(2) 0.9 -0.4", "AR(2) 0.3 0.3"])
def test_strokes_that_depend_on_each_other_are_covered_or_said_to_be_doubtful(
    kind: str, scale: float
) -> None:
    for sizes in ((12, 12), (20, 20), (40, 40)):
        plain, or_doubtful, wide, _ = held(kind, sizes, 600, scale)
        assert plain > 0.86
        assert or_doubtful > 0.925
        assert wide > 0.905


# Three kinds of wander the range was measured on, and four it was not.
@pytest.mark.parametrize("kind", [kind for kind in KINDS if kind.startswith("20 %")])
def test_slow_wander_is_in_the_range_that_is_told(kind: str) -> None:
    for sizes in ((12, 12), (20, 20), (40, 40)):
        assert held(kind, sizes, 400)[2] > 0.95 - 2.0 * (0.05 * 0.95 / 400) ** 0.5 - 0.01


def test_the_range_that_is_told_is_the_one_with_wander() -> None:
    rng = np.random.default_rng(6)
    row = judge_together([("a", rng.normal(size=30), rng.normal(size=30))])[0]
    assert row.shown == row.with_wander and row.interval is not None and row.shown is not None
    assert row.shown.high - row.shown.low > row.interval.high - row.interval.low


@pytest.mark.parametrize("kind", ["unrelated", "AR(1) 0.6", "AR(2) 0.5 0.3", "20 % wander over 20"])
def test_a_table_in_which_nothing_changed_says_more_once_in_twenty_at_most(kind: str) -> None:
    for sizes in ((12, 12), (40, 40)):
        any_, sure = tables_that_say_more(kind, sizes, 40)
        assert sure <= 0.05 + 2.0 * (0.05 * 0.95 / 40) ** 0.5
        assert any_ > 0.0, "single rows stand out by chance, and are called hints"


def test_a_change_that_is_plain_is_no_hint() -> None:
    rng = np.random.default_rng(2)
    changed = [(str(i), rng.normal(size=30), rng.normal(3.0, 1.0, 30)) for i in range(4)]
    same = [(str(i), rng.normal(size=30), rng.normal(size=30)) for i in range(4, 14)]
    said = judge_together([*changed, *same])
    assert [row.verdict for row in said[:4]] == ["more"] * 4
    assert not any(row.hint for row in said[:4])
    assert all(row.hint or row.verdict == "within" for row in said[4:])


def test_each_hint_says_why() -> None:
    rng = np.random.default_rng(4)
    few = judge_together([("a", rng.normal(size=9), rng.normal(1.9, 1.0, 9))])[0]
    assert (few.verdict, few.hint, few.doubt) == ("more", True, "few")
    drift = np.linspace(0.0, 3.0, 40)
    slow = judge_together([("a", rng.normal(size=40) + drift, rng.normal(size=40) + 1.0)])[0]
    assert (slow.hint, slow.doubt) == (True, "slow")
    many = rng.normal(size=200)
    small = judge_together([("a", many, rng.permutation(many) + 0.7)])[0]
    assert (small.verdict, small.doubt) == ("more", "chance")
    assert small.with_wander is not None and not small.with_wander.beyond_none


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


def test_turns_of_the_hands_are_not_held_against_a_force() -> None:
    """Of the very same strokes: nothing changed, so nothing may be said to differ."""
    force, found = force_of(rowed()), analyse_body(track_of(rowed(), 0.001))
    seen = PicturePiece.of(found.series, found.strokes, found.measures)
    assert force.typical is not None and seen.typical is not None
    assert found.measures[3].drive_s is not None and force.measures[3].drive_s is not None
    assert found.measures[3].drive_s > force.measures[3].drive_s + 0.1, "they are two things"
    rows = compare_measures((seen, seen.typical), (force, force.typical), False)
    assert not BY_TURNS & {row.name for row in rows}
    rate = next(row for row in rows if row.name == "rate_spm")
    assert rate.interval is not None and rate.verdict == "within"
    alike = compare_measures((seen, seen.strokes[1]), (seen, seen.strokes[4]), True)
    assert {row.name for row in alike} >= BY_TURNS
