"""Curves over the drive, their mean, and the odd ones out."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from analysis.force.curves import PERCENT, curve_set, stroke_curve
from analysis.force.piece import analyse, summary
from analysis.force.strokes import find_strokes
from analysis.force.trace import ForceTrace
from analysis.signals.curves import find_outlying
from analysis.signals.stroke import Stroke
from tests.helpers.curves import one_drive, row, shape


@pytest.mark.parametrize("name", ["triangle", "half sine", "parabola", "trapezoid"])
def test_curve_by_time_is_the_shape(name: str) -> None:
    trace, stroke = one_drive(name)
    expected = 600.0 * shape(name, PERCENT / 100.0)
    assert stroke_curve(trace, stroke) == pytest.approx(expected, abs=0.5)
    # The handle moves evenly: over length the curve is the same.
    assert stroke_curve(trace, stroke, "length") == pytest.approx(expected, abs=0.5)


def test_curve_by_length_follows_the_handle() -> None:
    # Way (1 - cos pi t) / 2 under force sin pi t: over way x force is 2 sqrt(x (1 - x)).
    trace, stroke = one_drive("half sine")
    way = 0.5 - 0.5 * np.cos(np.pi * trace.time_s / 0.9)
    x = PERCENT / 100.0
    curve = stroke_curve(replace(trace, position_m=way), stroke, "length")
    assert curve == pytest.approx(1200.0 * np.sqrt(x * (1.0 - x)), abs=1.0)


def test_length_needs_a_handle_that_moves_one_way() -> None:
    trace, stroke = one_drive("half sine")
    for way in (None, np.zeros(len(trace.time_s)), np.sin(4 * np.pi * trace.time_s / 0.9)):
        bad = replace(trace, position_m=way)
        assert curve_set(bad, [stroke], "length") is None
        with pytest.raises(ValueError, match="no handle position"):
            stroke_curve(bad, stroke, "length")


def test_mean_and_spread() -> None:
    trace = row()
    curves = curve_set(trace, find_strokes(trace))
    assert curves is not None
    assert curves.rows.shape == (12, 101)
    assert curves.mean.max() == pytest.approx(600.0, rel=0.002)
    assert curves.sd.max() < 5.0
    assert not curves.outlying.any()
    assert curves.typical in curves.stroke_indices
    assert curves.mean_span == pytest.approx(0.9 * (1 - 2 * np.arcsin(0.05) / np.pi), abs=0.001)


def test_remarked_strokes_are_left_out_and_nothing_left_is_none() -> None:
    trace = row()
    strokes = find_strokes(trace)
    curves = curve_set(trace, [replace(strokes[0], remark="half stroke"), *strokes[1:]])
    assert curves is not None
    assert curves.stroke_indices == tuple(range(1, 12))
    assert curve_set(trace, [replace(s, remark="x") for s in strokes]) is None
    assert curve_set(trace, []) is None


def test_an_odd_stroke_is_marked_and_does_not_move_the_mean() -> None:
    trace = row()
    strokes = find_strokes(trace)
    force_n = trace.force_n.copy()
    inside = (trace.time_s > strokes[4].catch_s) & (trace.time_s < strokes[4].finish_s)
    middle = 0.5 * (strokes[4].catch_s + strokes[4].finish_s)
    force_n[inside] *= 1.0 - 0.7 * np.exp(-(((trace.time_s[inside] - middle) / 0.15) ** 2))
    odd = ForceTrace(trace.time_s, force_n, trace.position_m)
    curves = curve_set(odd, strokes)
    assert curves is not None
    assert curves.outlying.tolist() == [i == 4 for i in range(12)]
    assert curves.mean.max() == pytest.approx(600.0, rel=0.002)
    assert curves.typical != 4


def test_half_of_the_strokes_are_no_outliers() -> None:
    two_kinds = np.vstack([np.full((5, 101), 100.0), np.full((5, 101), 500.0)])
    assert not find_outlying(two_kinds, np.ones(10)).any()
    assert not find_outlying(two_kinds[3:6], np.ones(3)).any()


def test_piece_brings_it_together() -> None:
    piece = analyse(row())
    assert len(piece.strokes) == len(piece.measures) == 12
    assert piece.by_time is not None and piece.by_length is not None
    assert piece.typical in piece.strokes
    means = summary(piece)
    assert list(means)[:3] == ["drive_s", "recovery_s", "rhythm"]
    rate, length = means["rate_spm"], means["length_m"]
    assert rate is not None and rate.count == 11 and rate.mean == pytest.approx(24.0, abs=0.01)
    assert length is not None and length.count == 12
    assert piece.by_length.mean_span == pytest.approx(length.mean, rel=1e-6)


def test_piece_of_one_stroke_and_of_none() -> None:
    one = analyse(row(strokes=1))
    assert len(one.strokes) == 1
    peak = summary(one)["peak_n"]
    assert peak is not None and peak.sd is None
    assert summary(one)["rate_spm"] is None
    flat = ForceTrace(np.arange(500) / 100.0, np.zeros(500))
    nothing = analyse(flat)
    assert nothing.strokes == () and nothing.by_time is None and nothing.typical is None
    assert set(summary(nothing).values()) == {None}


def test_stroke_outside_the_samples_does_not_crash() -> None:
    trace, _ = one_drive("half sine")
    assert stroke_curve(trace, Stroke(0, 5.0, 6.0)).shape == (101,)
