"""Any signal over any part of a stroke. The shapes are not those of the simulated athlete."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from analysis.comparing.phase import StrokeTimes, time_at
from analysis.force.piece import PieceAnalysis, analyse
from analysis.signals.along import PERCENT, CurveAxis, Part
from analysis.signals.curves import curve_set, find_outlying, signal_curve
from analysis.signals.signal import TRACE, VIDEO, Signal
from analysis.signals.stroke import Stroke
from tests.helpers.curves import row

TIME_S = np.arange(1200) / 100.0
STROKES = tuple(Stroke(i, 1.0 + 2.2 * i, 1.8 + 2.2 * i, 3.2 + 2.2 * i) for i in range(4))


def over(values: np.ndarray, unit: str = "W", name: str = "power") -> Signal:
    return Signal(name, name.title(), unit, 0, TRACE, TIME_S, values)


def sawtooth_handle() -> Signal:
    """Out evenly in 0.8 s by 1.2 m, home evenly in 1.4 s."""
    since = np.mod(TIME_S - 1.0, 2.2)
    way = np.where(since < 0.8, 1.5 * since, 1.2 * (2.2 - since) / 1.4)
    return over(way, "m", "handle")


@settings(deadline=None)
@given(st.floats(0.3, 3.0), st.floats(0.05, 0.95))
def test_phase_is_that_of_comparing(whole_s: float, share: float) -> None:
    stroke = Stroke(0, 2.0, 2.0 + share * whole_s, 2.0 + whole_s)
    times = StrokeTimes(2.0, stroke.finish_s, 2.0 + whole_s)
    clock = signal_curve(over(TIME_S), stroke, "phase", "stroke")
    assert clock is not None
    assert clock == pytest.approx([time_at(times, p / 50.0) for p in PERCENT], abs=1e-9)


def test_every_part_reads_its_own_time() -> None:
    clock = over(TIME_S)
    stroke = STROKES[1]
    ends: dict[Part, tuple[float, float]] = {
        "drive": (3.2, 4.0),
        "recovery": (4.0, 5.4),
        "stroke": (3.2, 5.4),
    }
    for part, (begin, end) in ends.items():
        read = signal_curve(clock, stroke, "time", part)
        assert read == pytest.approx(np.linspace(begin, end, 101))


def test_over_length_home_as_out() -> None:
    handle = sawtooth_handle()
    out = signal_curve(handle, STROKES[0], "length", "drive", handle)
    home = signal_curve(handle, STROKES[0], "length", "recovery", handle)
    whole = signal_curve(handle, STROKES[0], "length", "stroke", handle)
    assert out is not None and home is not None and whole is not None
    assert out == pytest.approx(1.2 * PERCENT / 100.0, abs=1e-6)
    assert home == pytest.approx(out[::-1], abs=1e-6)
    assert whole[:51] == pytest.approx(out[::2]) and whole[50:] == pytest.approx(home[::2])
    assert signal_curve(handle, STROKES[0], "length", "drive") is None, "without a handle"


def test_a_stroke_without_an_end_has_no_recovery() -> None:
    last = Stroke(0, 1.0, 1.8)
    assert signal_curve(over(TIME_S), last, "time", "recovery") is None
    assert signal_curve(over(TIME_S), last, "phase", "stroke") is None
    assert curve_set(over(TIME_S), [last], "phase", "stroke") is None


def test_clocks_are_not_mixed() -> None:
    with pytest.raises(ValueError, match="clock"):
        signal_curve(replace(over(TIME_S), clock=VIDEO), STROKES[0])
    with pytest.raises(ValueError, match="clock"):
        curve_set(over(TIME_S), [replace(STROKES[0], clock=VIDEO)])


def pieces() -> st.SearchStrategy[PieceAnalysis]:
    def shaped(power: float, wobble: float, seed: int) -> PieceAnalysis:
        trace = row()
        rng = np.random.default_rng(seed)
        wide = np.interp(trace.time_s, np.arange(0.0, 40.0, 2.5), rng.uniform(1 - wobble, 1, 16))
        force_n = 700.0 * wide * (trace.force_n / 600.0) ** power + 8.0
        return analyse(replace(trace, force_n=force_n))

    return st.builds(shaped, st.floats(0.6, 2.0), st.floats(0.0, 0.5), st.integers(0, 99))


@settings(max_examples=15, deadline=None)
@given(pieces(), st.floats(0.01, 50.0))
def test_a_multiple_of_force_has_its_curve_scaled(piece: PieceAnalysis, factor: float) -> None:
    own = piece.curves(piece.trace.force)
    other = piece.curves(over_trace(piece, factor * piece.trace.force_n))
    assert own is not None and other is not None and piece.by_time is not None
    assert np.array_equal(own.mean, piece.by_time.mean)
    np.testing.assert_allclose(other.rows, factor * own.rows, rtol=1e-9)
    np.testing.assert_allclose(other.mean, factor * own.mean, rtol=1e-9)
    np.testing.assert_allclose(other.sd, factor * own.sd, rtol=1e-6, atol=1e-9 * factor)
    assert other.outlying.tolist() == own.outlying.tolist()
    assert other.stroke_indices == own.stroke_indices


@settings(max_examples=15, deadline=None)
@given(pieces(), st.floats(0.01, 5.0), st.floats(-500.0, 500.0))
def test_a_line_through_force_has_the_line_of_its_curve(
    piece: PieceAnalysis, factor: float, offset: float
) -> None:
    stroke = piece.strokes[3]
    asked: tuple[tuple[CurveAxis, Part], ...] = (
        ("time", "drive"),
        ("length", "drive"),
        ("phase", "stroke"),
    )
    for axis, part in asked:
        own = piece.curve(piece.trace.force, stroke, axis, part)
        line = over_trace(piece, factor * piece.trace.force_n + offset)
        other = piece.curve(line, stroke, axis, part)
        assert own is not None and other is not None
        np.testing.assert_allclose(other, factor * own + offset, rtol=1e-9, atol=1e-9)


def over_trace(piece: PieceAnalysis, values: np.ndarray) -> Signal:
    return Signal("power", "Power", "W", 0, TRACE, piece.trace.time_s, values)


def test_holes_stay_in_the_curve_and_leave_the_mean_to_the_others() -> None:
    values = np.mod(TIME_S, 2.2) * 100.0
    values[(TIME_S > 1.3) & (TIME_S < 1.6)] = np.nan  # in the first drive, of 0.8 s
    values[(TIME_S > 5.4) & (TIME_S < 6.15)] = np.nan  # nearly all of the third
    curves = curve_set(over(values), STROKES)
    assert curves is not None
    assert curves.stroke_indices == (0, 1, 3), "of the third, less than half is known"
    assert np.isnan(curves.rows[0]).sum() == pytest.approx(37, abs=2)
    assert np.isfinite(curves.rows[1:]).all() and np.isfinite(curves.mean).all()
    middle = curves.rows[1:, 50]
    assert curves.mean[50] == pytest.approx(middle.mean())
    assert curves.sd[50] == pytest.approx(middle.std(ddof=1))
    only = curve_set(over(values), STROKES[:1])
    assert only is not None and np.isnan(only.mean[50]) and np.isnan(only.sd[50])
    assert curve_set(over(np.full(1200, np.nan)), STROKES) is None


def test_a_hole_of_the_handle_leaves_the_length_unknown() -> None:
    handle = sawtooth_handle()
    holed = handle.values.copy()
    holed[(TIME_S > 1.3) & (TIME_S < 1.6)] = np.nan
    read = signal_curve(over(TIME_S), STROKES[0], "length", "drive", replace(handle, values=holed))
    assert read is not None and np.isnan(read[45:70]).all() and np.isfinite(read[:35]).all()


def test_odd_against_what_a_quantity_reaches_or_is() -> None:
    """A seat at 5.0-5.7 m differs by its reach; a power of 5.0-5.7 W by its height."""
    rng = np.random.default_rng(5)
    rows = 5.0 + 0.7 * np.sin(np.pi * PERCENT / 100.0) + rng.normal(0.0, 0.002, (12, 101))
    rows[4] += 0.2
    assert find_outlying(rows, np.ones(12), "m").tolist() == [i == 4 for i in range(12)]
    assert not find_outlying(rows, np.ones(12), "W").any()
