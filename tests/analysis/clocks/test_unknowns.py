"""The stated interval covers what nobody knows of take-up, body and sound, on drawn pieces."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest
from scipy.stats import binom

from analysis.clocks import unknowns
from analysis.clocks.fit import Witness, fit_line
from analysis.clocks.lags import Observed
from analysis.clocks.matching import line_up
from analysis.clocks.unknowns import Late, Prior
from analysis.force.strokes import find_strokes
from tests.benchmarks.align_interval import Outcome, judge
from tests.helpers.clock_pieces import Habits, draw

DRAWS = 24


@cache
def judged(way: str) -> tuple[Outcome, ...]:
    got = [judge(way, seed) for seed in range(DRAWS)]
    return tuple(one for one in got if one is not None)


@pytest.mark.parametrize(
    "way", ["picture, force alone", "both, force alone", "picture, position", "both, position"]
)
def test_the_truth_lies_within_the_stated_interval(way: str) -> None:
    outcomes = judged(way)
    assert len(outcomes) >= DRAWS - 1
    inside = sum(abs(o.error_s) <= o.half_s for o in outcomes)
    # One that truly holds 93 % fails this once in a hundred times, one of 60 % nearly always.
    assert inside >= binom.ppf(0.01, len(outcomes), 0.93)


def test_what_is_known_narrows_it() -> None:
    half = {
        way: float(np.median([o.half_s for o in judged(way)]))
        for way in ("picture, force alone", "both, force alone", "picture, position")
    }
    assert half["picture, force alone"] > 0.055
    assert half["both, force alone"] < 0.5 * half["picture, force alone"]
    assert half["picture, position"] < 0.6 * half["picture, force alone"]


@pytest.mark.parametrize("take_up_s", [0.03, 0.25])
def test_either_end_of_the_take_up_is_covered_and_moves_the_answer(take_up_s: float) -> None:
    error, half = [], []
    for seed in range(5):
        habits = Habits(take_up_s, 1.2, 0.01, 0.5, 0.01, 0.005)
        sent = draw(seed, habits=habits, seconds=30.0)
        found = line_up(sent.motion, None, sent.trace, find_strokes(sent.trace), 1.0)
        near = min(found.candidates, key=lambda c: abs(c.offset_s - sent.offset_s))
        error.append(near.offset_s - sent.offset_s)
        half.append(near.uncertainty_s)
    # The line-up cannot know it, so it is off; it must say so.
    assert abs(float(np.median(error))) > 0.012
    assert np.sign(np.median(error)) == np.sign(0.14 - take_up_s)
    assert np.mean(np.abs(error) <= np.array(half)) >= 0.8


def test_force_alone_is_said_in_words() -> None:
    sent = draw(3, seconds=40.0)
    strokes = find_strokes(sent.trace)
    alone = line_up(sent.motion, None, sent.trace, strokes, 1.0).alignment
    assert alone.method == "by picture and force alone" and alone.is_rough
    assert alone.how_sure.startswith("by picture and force alone, within ±")
    both = line_up(sent.motion, sent.sound, sent.trace, strokes, 1.0).alignment
    assert both.method == "by picture and sound" and not both.is_rough


def test_nodes_average_as_the_distribution_does() -> None:
    at, weight = Prior.between(0.03, 0.25, "").nodes()
    assert weight @ at == pytest.approx(0.14)
    # The mean of the square of something uniform from a to b is (a² + ab + b²) / 3.
    assert weight @ at**2 == pytest.approx((0.03**2 + 0.03 * 0.25 + 0.25**2) / 3.0)


@pytest.mark.parametrize("flat", [0.0, 0.5, 0.85, 0.95])
def test_reach_holds_95_of_a_hundred_drawn_errors(flat: float) -> None:
    rng = np.random.default_rng(1)
    drawn = flat * rng.uniform(-(3.0**0.5), 3.0**0.5, 200_000)
    drawn += (1.0 - flat**2) ** 0.5 * rng.standard_normal(200_000)
    assert (np.abs(drawn) < unknowns.reach(flat)).mean() == pytest.approx(0.95, abs=0.003)


def test_a_late_track_makes_the_wheel_later_and_surer() -> None:
    before, after = unknowns.heard(), unknowns.heard(0.033, 0.004)
    assert after.wheel.mean_s > before.wheel.mean_s + 0.01
    assert after.wheel.sd_s < 0.6 * before.wheel.sd_s
    assert after.knock.mean_s == pytest.approx(0.033, abs=0.004)


def test_errors_that_two_witnesses_share_do_not_cancel() -> None:
    trace_s = np.arange(0.0, 40.0, 2.0)
    n = len(trace_s)
    at = Observed(np.arange(n), trace_s, trace_s + 1.0, np.ones(n), np.zeros(n, bool))

    def sd(shared: float) -> float:
        late = Late(0.0, 0.010, shared)
        two = [Witness(name, at, late, 0.002) for name in ("sound", "knock")]
        return fit_line(two).sd_at(20.0)

    # Two independent errors of 10 ms average to 7 ms; one and the same stays 10 ms.
    assert sd(0.0) == pytest.approx(0.0071, abs=0.0004)
    assert sd(0.0099) == pytest.approx(0.0100, abs=0.0004)


def test_every_prior_says_where_it_comes_from() -> None:
    priors = [v for v in vars(unknowns).values() if isinstance(v, Prior)]
    assert len(priors) >= 8 and all(p.source and p.sd > 0.0 for p in priors)
