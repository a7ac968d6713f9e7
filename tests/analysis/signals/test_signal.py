"""Signals: what is known between samples, and what is not."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from analysis.signals.signal import TRACE, Signal, SignalSet


def signal(
    values: np.ndarray, hz: float = 50.0, name: str = "seat", quality: np.ndarray | None = None
) -> Signal:
    time_s = np.arange(len(values)) / hz
    return Signal(name, name.title(), "m", 2, TRACE, time_s, values, quality)


def test_between_samples_on_straight_lines() -> None:
    read = signal(np.array([0.0, 1.0, 4.0])).at(np.array([[0.01, 0.02], [0.03, 0.04]]))
    assert read == pytest.approx(np.array([[0.5, 1.0], [2.5, 4.0]]))


def test_nothing_is_told_outside() -> None:
    read = signal(np.ones(20)).at(np.array([-0.01, 0.0, 0.38, 0.3800000001, 0.39, np.nan]))
    assert np.isfinite(read).tolist() == [False, True, True, True, False, False]


@settings(deadline=None)
@given(st.integers(1, 60), st.integers(1, 60))
def test_a_hole_stays_a_hole_and_its_edges_are_known(first: int, length: int) -> None:
    values = np.sin(np.arange(130) / 9.0)
    last = min(first + length, 129)
    values[first:last] = np.nan
    held = signal(values)
    inside = np.linspace(held.time_s[first - 1], held.time_s[last], 21)
    read = held.at(inside)
    assert np.isfinite(read[[0, -1]]).all()
    # 3.5 steps of 20 ms are below the 0.1 s that are bridged at least.
    bridged = held.time_s[last] - held.time_s[first - 1] <= 0.1 + 1e-9
    assert np.isfinite(read[1:-1]).all() == bridged
    assert np.isnan(read[1:-1]).all() == (not bridged)


def test_what_has_no_quality_is_not_known() -> None:
    quality = np.ones(100)
    quality[40:60] = 0.0
    at = np.array([0.5, 1.0, 1.9])
    assert np.isfinite(signal(np.arange(100.0), quality=quality).at(at)).tolist() == [
        True,
        False,
        True,
    ]


def test_a_sparse_signal_is_bridged_at_its_own_step() -> None:
    """One reading a second among rows of a hundred a second: a second is its step, no hole."""
    values = np.full(1001, np.nan)
    values[::100] = 140.0 + np.arange(11)
    held = signal(values, hz=100.0)
    assert held.interval_s == pytest.approx(1.0)
    assert held.at(np.array([2.5])) == pytest.approx([142.5])
    values[200:900] = np.nan
    assert np.isnan(signal(values, hz=100.0).at(np.array([2.5, 5.0]))).all()
    assert replace(held, values=values, hole_s=20.0).at(np.array([5.0])) == pytest.approx([145.0])


def test_too_little_is_nothing() -> None:
    for values in (np.empty(0), np.array([3.0]), np.array([np.nan, 2.0, np.nan])):
        assert np.isnan(signal(values).at(np.array([0.0, 0.02]))).all()


def test_lengths_must_agree() -> None:
    with pytest.raises(ValueError, match="equal length"):
        Signal("a", "A", "", 0, TRACE, np.arange(3.0), np.arange(4.0))
    with pytest.raises(ValueError, match="equal length"):
        signal(np.arange(3.0), quality=np.ones(2))


def test_a_set_knows_its_signals_by_name() -> None:
    seat, hr = signal(np.ones(5)), signal(np.ones(5), name="hr")
    both = SignalSet((seat, hr))
    assert both.names == ("seat", "hr") and both["hr"] is hr and "power" not in both
    assert both.get("power") is None and both.without("seat") == (hr,)
    with pytest.raises(KeyError):
        both["power"]
    with pytest.raises(ValueError, match="same name"):
        SignalSet((seat, seat))
    joined = SignalSet((seat,)).joined(SignalSet((replace(hr, name="seat"), hr)))
    assert joined.names == ("seat", "seat-2", "hr")
