"""Findings from followed points: raised where the points are sure enough, and joined with force."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from analysis.body.from_track import see_body
from analysis.body.strokes import body_strokes
from analysis.body.view import View
from analysis.clocks.alignment import Alignment
from analysis.findings.body_rules import BODY_RULES
from analysis.findings.doubt import unjudged
from analysis.findings.find import find
from analysis.findings.finding import FORCE, PICTURE
from analysis.findings.thresholds import Thresholds
from samples.faults import BODY_FAULTS
from tests.helpers.followed import track_of
from tests.helpers.rowed import body_of, force_of, rowed

FLAT = View(perspective="none")


def seen(fault: str = "", bias: float = 0.0, noise: float = 0.0, seed: int = 0, tall=1.84):
    return see_body(track_of(rowed(fault), noise, bias, seed=seed), FLAT, tall).series


@pytest.mark.parametrize("fault", [code for code in BODY_FAULTS if code != "back-rounds"])
def test_a_strong_fault_is_found_in_points_with_an_error(fault) -> None:
    finding = next(f for f in find(None, None, seen(fault, 0.006, 0.002)) if f.code == fault)
    assert finding.seen_in == PICTURE
    assert finding.where.video_s is not None and finding.where.trace_s is None
    evidence = finding.evidence
    assert evidence.sd is not None and evidence.sd > 0.0
    assert evidence.value - evidence.sd > evidence.threshold
    assert finding.as_dict()["evidence"]["sd"] > 0.0


@pytest.mark.parametrize("seed", range(4))
def test_sound_rowing_shows_no_fault_whatever_the_points_are_worth(seed) -> None:
    assert not [f.code for f in find(None, None, seen("", 0.013, 0.003, seed)) if not f.good]


def test_no_low_back_is_judged_from_these_points() -> None:
    body = seen("back-rounds")
    assert "back-rounds" not in {f.code for f in find(None, None, body)}
    assert unjudged(body, body_strokes(body), BODY_RULES, Thresholds()) == ("back-rounds",)


def test_what_the_points_are_too_poor_for_is_not_raised_but_said() -> None:
    poor = seen("early-arms")
    poor = replace(poor, sd={**poor.sd, "elbow_rad": np.full(len(poor.time_s), np.radians(60.0))})
    assert "early-arms" not in {f.code for f in find(None, None, poor)}
    assert "early-arms" in unjudged(poor, body_strokes(poor), BODY_RULES, Thresholds())
    trusting = Thresholds().with_changes({"body-sure": 0.0})
    assert "early-arms" in {f.code for f in find(None, None, poor, thresholds=trusting)}


def test_a_value_just_past_its_limit_needs_good_points() -> None:
    sure, unsure = seen("early-trunk"), seen("early-trunk", 0.02)
    lightly = Thresholds().with_changes({"early-trunk.opened": 30.0})
    assert "early-trunk" in {f.code for f in find(None, None, sure, thresholds=lightly)}
    assert "early-trunk" not in {f.code for f in find(None, None, unsure, thresholds=lightly)}


def test_without_a_stature_ways_are_told_in_shares_of_the_body() -> None:
    found = {f.code: f for f in find(None, None, seen("seat-first", 0.003, 0.001, tall=None))}
    evidence = found["seat-first"].evidence
    assert evidence.unit == "% of body length"
    assert evidence.threshold == pytest.approx(100.0 * 0.035 / 1.75)
    metres = {f.code: f for f in find(None, None, seen("seat-first", 0.003, 0.001))}["seat-first"]
    assert metres.evidence.unit == "m"
    assert evidence.value == pytest.approx(100.0 * metres.evidence.value / 1.84, rel=0.1)


def test_cause_in_the_picture_and_effect_in_the_force_are_one_story() -> None:
    piece = rowed("give")
    found = find(force_of(piece), Alignment(offset_s=1.5), body_of(piece, 1.5))
    order = [f.code for f in found]
    give = next(f for f in found if f.code == "give")
    assert give.explained_by == ("back-rounds",) and give.seen_in == FORCE
    assert order.index("give") == order.index("back-rounds") + 1
    assert "The picture shows the cause" in give.rank_reason
    both = next(f for f in found if f.code == "back-rounds").where
    assert both.video_s is not None and both.trace_s is not None


def test_points_that_are_lost_half_the_time_give_no_false_alarm() -> None:
    track = track_of(rowed(), 0.003, 0.006)
    xy_px = track.xy_px.copy()
    xy_px[np.random.default_rng(2).random(len(track.time_s)) < 0.3] = np.nan
    body = see_body(replace(track, xy_px=xy_px), FLAT, 1.84).series
    assert not [f.code for f in find(None, None, body) if not f.good]
