"""Sections on shapes that are neither the sample's nor the benchmarks' of the findings."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import theilslopes

from analysis.force.piece import PieceAnalysis, analyse
from analysis.force.trace import ForceTrace
from analysis.sections.change_points import LineCosts, cut
from analysis.sections.finding_sections import LEAST, _level, find_sections, within
from analysis.sections.section import changes, default_name, section_of
from tests.benchmarks.limits_generator import PRESCRIBED, Rowing, prescribed, row, steady


def firsts(piece: PieceAnalysis) -> list[int]:
    return [section.first for section in find_sections(piece)]


@pytest.mark.parametrize("name", PRESCRIBED)
@pytest.mark.parametrize("seed", [1, 2])
def test_prescribed_work_is_cut_where_it_was_prescribed(name: str, seed: int) -> None:
    plan = PRESCRIBED[name]
    wanted = [0, *np.cumsum([count for count, _, _ in plan])[:-1].tolist()]
    piece = analyse(row(prescribed(name, seed), seed))
    found = find_sections(piece)
    assert [s.first for s in found] == wanted
    for section, (count, rate, _) in zip(found, plan, strict=True):
        assert section.count == count
        assert section.rate_spm == pytest.approx(rate, abs=0.6)
    assert found[-1].last == piece.strokes[-1].index


@pytest.mark.parametrize("seed", range(6))
def test_steady_rowing_is_one_section(seed: int) -> None:
    how = replace(steady(seed), spread=(0.034, 0.048, 0.08)[seed % 3], alike=0.3)
    assert firsts(analyse(row(how, seed))) == [0]


@pytest.mark.parametrize("loss", [0.15, 0.3])
def test_who_tires_rows_one_section(loss: float) -> None:
    assert firsts(analyse(row(replace(steady(4), loss=loss), 4))) == [0]


def test_one_odd_stroke_or_two_are_no_section() -> None:
    trace = row(Rowing(plan=((26, 24.0, 0.9),), spread=0.03), 5)
    strokes = analyse(trace).strokes
    for odd in ((12,), (12, 13), (0,), (25,)):
        force_n = trace.force_n.copy()
        for i in odd:
            inside = slice(
                *np.searchsorted(trace.time_s, [strokes[i].catch_s, strokes[i].finish_s])
            )
            force_n[inside] = 9.0 + 0.7 * (force_n[inside] - 9.0)
        assert firsts(analyse(ForceTrace(trace.time_s, force_n))) == [0], odd


def test_sections_are_named_and_changes_are_told_as_what_they_are() -> None:
    piece = analyse(row(Rowing(plan=((20, 24.0, 0.8), (15, 30.0, 1.0)), spread=0.02), 1))
    easy, hard = find_sections(piece)
    assert easy.mean_n is not None and hard.mean_n is not None
    assert easy.name == f"20 strokes at 24, about {10 * round(easy.mean_n / 10):.0f} N mean force"
    (change,) = changes((easy, hard))
    assert change.rate_spm == pytest.approx(6.0, abs=0.4)
    # Force times drive time is 1.25 times as much, in drives that are shorter at the higher rate.
    longer = (1.13 - 0.0115 * 24.0) / (1.13 - 0.0115 * 30.0)
    assert change.force_share == pytest.approx(1.25 * longer - 1.0, abs=0.06)
    assert change.words.startswith("From stroke 21 on: rate +6 a minute, mean force +")
    assert section_of((easy, hard), 19) == easy and section_of((easy, hard), 20) == hard
    assert section_of((easy, hard), 99) is None


def test_names_say_what_is_known() -> None:
    assert default_name(1, None, None) == "1 stroke"
    assert default_name(20, 24.2, 312.0) == "20 strokes at 24, about 310 N mean force"
    assert default_name(30, 22.0, 41.4, -4.0) == "30 strokes from 24 to 20, about 41 N mean force"


def test_a_section_has_its_own_mean_curve_and_numbers() -> None:
    piece = analyse(row(Rowing(plan=((12, 20.0, 0.6), (12, 28.0, 1.0)), spread=0.02), 2))
    easy, hard = (within(piece, section) for section in find_sections(piece))
    assert [s.index for s in hard.strokes] == list(range(12, 24))
    assert easy.by_time is not None and hard.by_time is not None and piece.by_time is not None
    assert easy.by_time.mean.max() < 0.7 * hard.by_time.mean.max()
    assert easy.by_time.sd.max() < 0.3 * piece.by_time.sd.max()
    assert hard.typical is not None and hard.typical.index >= 12
    assert len(hard.measures) == 12


def test_nothing_rowed_no_section() -> None:
    assert find_sections(analyse(ForceTrace(np.arange(300) / 100.0, np.full(300, 9.0)))) == ()


def test_a_long_row_is_cut_at_the_same_strokes() -> None:
    rng = np.random.default_rng(3)
    level = np.repeat([0.0, 3.0, -1.0, 2.0], [1500, 1237, 2000, 1263])
    costs = LineCosts.of((level + 0.5 * rng.normal(size=len(level)))[:, None])
    assert cut(costs, 5, 60.0) == [1500, 2737, 4737]


@settings(max_examples=60, deadline=None)
@given(st.lists(st.floats(-5, 5), min_size=6, max_size=14), st.floats(0.5, 20.0))
def test_the_cut_is_the_best_there_is(values: list[float], penalty: float) -> None:
    """Against every possible cut, one by one, with NumPy's own line fit."""
    y = np.array(values)
    least = 3
    costs = LineCosts.of(y[:, None])

    def price(edges: list[int]) -> float:
        total = 0.0
        for a, b in pairwise(edges):
            x = np.arange(b - a)
            total += float(((y[a:b] - np.polyval(np.polyfit(x, y[a:b], 1), x)) ** 2).sum())
        return total + penalty * (len(edges) - 2)

    def all_cuts(start: int) -> list[list[int]]:
        rest = len(y) - start
        found = [[start, len(y)]] if rest >= least else []
        for middle in range(start + least, len(y) - least + 1):
            found += [[start, *tail] for tail in all_cuts(middle)]
        return found

    found = cut(costs, least, penalty)
    assert price([0, *found, len(y)]) == pytest.approx(min(map(price, all_cuts(0))), abs=1e-6)


@given(st.lists(st.floats(0.0, 1000.0), min_size=LEAST, max_size=60))
def test_a_level_changes_along_the_middle_slope_of_all_pairs(values: list[float]) -> None:
    known = np.array(values)
    middle, change = _level(values)
    assert middle == pytest.approx(float(np.median(known)))
    assert change == pytest.approx(float(theilslopes(known).slope) * (len(known) - 1), abs=1e-9)
