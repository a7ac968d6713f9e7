"""Tugs on the handle are no strokes, light strokes are, and neither spoils the rate beside it."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest

from analysis.force.piece import analyse
from analysis.force.strokes import find_strokes
from tests.helpers.drawn_pieces import CURVES, Curve, Pull, drawn, row_of

RATE = 22.0


def with_tugs(
    strokes: list[Pull], share: float, length_s: float, every: int, seed: int
) -> list[Pull]:
    """Pulls with a tug somewhere in every so manieth recovery."""
    rng = np.random.default_rng(seed)
    tugs = []
    for i, (one, two) in enumerate(pairwise(strokes)):
        if i % every == 0:
            free = (one.start_s + one.length_s + 0.3, two.start_s - 0.3 - length_s)
            tugs.append(Pull(float(rng.uniform(*free)), length_s, share * one.peak_n))
    return strokes + tugs


@pytest.mark.parametrize("handle", [True, False])
@pytest.mark.parametrize("every", [1, 2, 5])
@pytest.mark.parametrize(
    ("share", "length_s"), [(0.28, 0.4), (0.28, 0.25), (0.45, 0.3), (0.2, 0.5)]
)
def test_tugs_in_recoveries_change_no_rate(
    handle: bool, every: int, share: float, length_s: float
) -> None:
    for curve in CURVES[:2]:
        pulls = with_tugs(row_of(30, RATE), share, length_s, every, seed=4)
        trace = drawn(pulls, curve, noise_n=3.0, handle=False)
        if handle:
            trace = replace(trace, position_m=drawn(row_of(30, RATE), curve).position_m)
        piece = analyse(trace)
        assert [s.remark for s in piece.strokes] == [""] * 30
        rates = [m.rate_spm for m in piece.measures[:-1]]
        assert rates == pytest.approx([RATE] * 29, rel=0.02)


@pytest.mark.parametrize("curve", CURVES)
@pytest.mark.parametrize("noise_n", [0.0, 3.0])
def test_a_ladder_keeps_its_light_strokes(curve: Curve, noise_n: float) -> None:
    pulls: list[Pull] = []
    for peak_n in (80.0, 1100.0, 80.0):
        start_s = pulls[-1].start_s + 60.0 / RATE if pulls else 1.2
        pulls += row_of(20, RATE, peak_n, start_s=start_s)
    piece = analyse(drawn(pulls, curve, noise_n=noise_n))
    assert len(piece.strokes) == 60
    catches = [s.catch_s for s in piece.strokes]
    assert catches == pytest.approx([p.start_s for p in pulls], abs=0.08)
    rates = [m.rate_spm for m in piece.measures[:-1]]
    assert rates == pytest.approx([RATE] * 59, rel=0.05)
    assert sum(s.remark != "" for s in piece.strokes) == 0


@pytest.mark.parametrize("curve", CURVES)
@pytest.mark.parametrize("share", [0.1, 0.25])
def test_every_fifth_stroke_lighter_keeps_its_place(curve: Curve, share: float) -> None:
    pulls = [
        replace(p, peak_n=share * p.peak_n) if i % 5 == 4 else p
        for i, p in enumerate(row_of(40, RATE))
    ]
    piece = analyse(drawn(pulls, curve, noise_n=2.0, handle=False))
    assert len(piece.strokes) == 40
    assert [s.remark for s in piece.strokes] == [
        "half stroke" if i % 5 == 4 else "" for i in range(40)
    ]
    rates = [m.rate_spm for m in piece.measures[:-1]]
    assert rates == pytest.approx([RATE] * 39, rel=0.05)


def test_every_other_stroke_light_is_still_a_stroke() -> None:
    pulls = [
        replace(p, peak_n=0.25 * p.peak_n) if i % 2 else p for i, p in enumerate(row_of(40, RATE))
    ]
    assert len(find_strokes(drawn(pulls, CURVES[0], noise_n=2.0, handle=False))) == 40


def test_light_paddling_around_a_hard_piece() -> None:
    easy = row_of(30, 18.0, 70.0)
    hard = row_of(30, 32.0, 1000.0, 0.75, start_s=easy[-1].start_s + 3.2)
    after = row_of(30, 18.0, 70.0, start_s=hard[-1].start_s + 2.0)
    found = find_strokes(drawn([*easy, *hard, *after], CURVES[2], noise_n=3.0))
    assert len(found) == 90


def test_a_pause_with_a_wiggling_handle_stays_a_pause() -> None:
    before = row_of(12, RATE)
    after = row_of(12, RATE, start_s=before[-1].start_s + 15.0)
    wiggles = [Pull(before[-1].start_s + 4.0 + 1.3 * i, 0.3, 60.0) for i in range(5)]
    trace = drawn([*before, *after, *wiggles], CURVES[1], noise_n=2.0, handle=False)
    found = find_strokes(trace)
    assert len(found) == 24
    assert found[11].next_catch_s is None
    assert [s.remark for s in found] == [""] * 24
