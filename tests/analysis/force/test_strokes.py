"""Catches and finishes on traces whose strokes are known."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from analysis.force.strokes import find_strokes
from analysis.force.trace import FloatArray, ForceTrace
from analysis.signals.stroke import Stroke
from tests.benchmarks.strokes_accuracy import drawn_trace, rowed_trace, score
from tests.benchmarks.strokes_generator import TraceOptions, draw_trace
from tests.helpers.curves import row


def test_catch_and_finish_at_five_percent_between_samples() -> None:
    trace = row(hz=100.0)
    lost = 0.9 * np.arcsin(0.05) / np.pi
    strokes = find_strokes(trace)
    assert [s.index for s in strokes] == list(range(12))
    for i, stroke in enumerate(strokes):
        assert stroke.catch_s == pytest.approx(1.0 + 2.5 * i + lost, abs=0.001)
        assert stroke.finish_s == pytest.approx(1.9 + 2.5 * i - lost, abs=0.001)
        assert stroke.remark == ""
    assert strokes[3].next_catch_s == strokes[4].catch_s
    assert strokes[-1].next_catch_s is None


def test_one_stroke_is_found() -> None:
    assert len(find_strokes(row(strokes=1))) == 1


@pytest.mark.parametrize("n", [0, 1, 2, 3, 10])
def test_next_to_no_samples_give_no_strokes(n: int) -> None:
    assert find_strokes(ForceTrace(np.arange(float(n)), np.zeros(n))) == ()


def test_quiet_and_steady_force_are_no_strokes() -> None:
    time_s = np.arange(0.0, 60.0, 0.01)
    assert find_strokes(ForceTrace(time_s, np.zeros(len(time_s)))) == ()
    assert find_strokes(ForceTrace(time_s, np.full(len(time_s), 300.0))) == ()


def test_a_give_to_forty_percent_does_not_split_a_drive() -> None:
    trace = row()
    phase = np.mod(trace.time_s - 1.0, 2.5)
    give = 1.0 - 0.6 * np.exp(-(((phase - 0.4) / 0.05) ** 2))
    assert len(find_strokes(ForceTrace(trace.time_s, trace.force_n * give))) == 12


def test_half_strokes_carry_a_remark_and_tugs_are_left_out() -> None:
    trace, true = draw_trace(TraceOptions(seed=3, strokes=60, halves=6, bumps=0.5, noise=0.005))
    found = find_strokes(trace)
    assert [s.remark for s in found] == ["half stroke" if p.half else "" for p in true]


def test_a_pause_ends_a_cycle() -> None:
    trace = row()
    later = np.where(trace.time_s > 15.8, trace.time_s + 20.0, trace.time_s)
    time_s = np.arange(later[0], later[-1], 0.01)
    strokes = find_strokes(ForceTrace(time_s, np.interp(time_s, later, trace.force_n)))
    assert [i for i, s in enumerate(strokes) if s.next_catch_s is None] == [5, 11]


def test_samples_missing_in_a_drive_are_remarked() -> None:
    trace = row()
    lost = (trace.time_s > 6.3) & (trace.time_s < 6.5)
    strokes = find_strokes(ForceTrace(trace.time_s[~lost], trace.force_n[~lost]))
    assert [s.index for s in strokes if s.remark] == [2]
    assert strokes[2].remark == "samples missing"


def test_a_long_silence_cuts_the_trace() -> None:
    trace = row()
    lost = (trace.time_s > 6.4) & (trace.time_s < 11.4)  # from within stroke 2 to within stroke 4
    strokes = find_strokes(ForceTrace(trace.time_s[~lost], trace.force_n[~lost]))
    assert [s.remark for s in strokes[1:5]] == [
        "",
        "the trace ends within this drive",
        "the trace starts within this drive",
        "",
    ]


def test_a_trace_cut_within_drives_says_so() -> None:
    trace = row()
    inside = (trace.time_s > 1.4) & (trace.time_s < 26.4)
    strokes = find_strokes(ForceTrace(trace.time_s[inside], trace.force_n[inside]))
    assert strokes[0].remark == "the trace starts within this drive"
    assert strokes[-1].remark == "the trace ends within this drive"
    assert not any(s.remark for s in strokes[1:-1])


def test_rest_that_is_not_zero_is_taken_off() -> None:
    trace = row()
    plain = find_strokes(trace)
    for lift in (15.0, -40.0, 80.0):
        lifted = find_strokes(ForceTrace(trace.time_s, trace.force_n + lift))
        assert [s.catch_s for s in lifted] == pytest.approx([s.catch_s for s in plain], abs=1e-6)


def _samples(errors_s: FloatArray, trace: ForceTrace) -> float:
    return float(np.percentile(np.abs(errors_s), 95)) / trace.interval_s


# Aim: none missed or extra, 95 % of catches within 1.5 samples. At 200 samples a second and 3 %
# noise the drawn families sit at the aim itself, so the bound here leaves room for 150 strokes.
@pytest.mark.parametrize(("hz", "rate"), [(50.0, 18.0), (100.0, 28.0), (200.0, 40.0)])
@pytest.mark.parametrize("family", ["beta", "cosine", "power", "sine"])
def test_drawn_strokes_under_noise(family: str, hz: float, rate: float) -> None:
    trace, true = drawn_trace(family, rate, hz, 0.03, seed=11, count=150)
    result = score(find_strokes(trace), true)
    assert (result.missed, result.extra, result.called_half, result.called_whole) == (0, 0, 0, 0)
    assert _samples(result.catch_s, trace) <= 1.7
    assert abs(float(result.catch_s.mean())) < 0.005


@pytest.mark.parametrize(("hz", "noise"), [(50.0, 0.0), (100.0, 0.01), (200.0, 0.03)])
def test_rowed_strokes(hz: float, noise: float) -> None:
    trace, true = rowed_trace(26.0, hz, noise, seed=5, minutes=5.0)
    result = score(find_strokes(trace), true)
    assert (result.missed, result.extra, result.called_half, result.called_whole) == (0, 0, 0, 0)
    assert _samples(result.catch_s, trace) <= 1.7


def test_the_score_sees_what_is_wrong() -> None:
    trace, true = drawn_trace("sine", 28.0, 100.0, 0.0, seed=2, count=60)
    found = find_strokes(trace)
    lost = score((*found[:9], *found[10:]), true)
    assert lost.missed == 1
    invented = replace(found[0], catch_s=found[0].finish_s + 0.4)
    assert score((*found, invented), true).extra == 1
    late = score(tuple(replace(s, catch_s=s.catch_s + 0.05) for s in found), true)
    assert late.catch_s.mean() == pytest.approx(0.05, abs=0.002)
    half = next(i for i, p in enumerate(true) if p.half)
    whole = [replace(s, remark="") if s.index == half else s for s in found]
    assert score(tuple(whole), true).called_whole == 1


def test_push_rim_force_of_wheelchair_propulsion(shared_media: Path) -> None:
    # Five pushes with published push and recovery times (open research data, read to 10 ms by
    # their authors on the total force). Total force here is the length of the three-axis vector.
    # After the published pushes the rider brakes: two more pulls that have no published times.
    import pandas as pd

    data = pd.read_csv(shared_media / "force" / "wheelchair_pushrim.csv")
    events = pd.read_csv(shared_media / "force" / "wheelchair_pushrim_events.csv")
    total = np.sqrt(data["fx_n"] ** 2 + data["fy_n"] ** 2 + data["fz_n"] ** 2)
    found = find_strokes(ForceTrace(data["time_s"].to_numpy(), total.to_numpy()))
    push = events.loc[events["event"] == "push", "time_s"].to_numpy()
    recovery = events.loc[events["event"] == "recovery", "time_s"].to_numpy()
    ours = [s for s in found if push[0] < s.finish_s and s.catch_s < recovery[-1]]
    assert len(ours) == len(push) == 5
    assert [s.catch_s for s in ours] == pytest.approx(push, abs=0.025)
    assert [s.finish_s for s in ours] == pytest.approx(recovery, abs=0.025)
    # A knock of 50 N four seconds before the first push is none to the authors; it is listed here,
    # and called what it is.
    assert [s.remark for s in found if s.finish_s < push[0]] == ["half stroke"]
    assert len(found) == 8


def test_shifting_the_clock_shifts_the_strokes() -> None:
    trace = row()
    moved = find_strokes(replace(trace, time_s=trace.time_s + 1000.0))
    assert [s.catch_s - 1000.0 for s in moved] == pytest.approx(
        [s.catch_s for s in find_strokes(trace)], abs=1e-6
    )


@settings(max_examples=60, deadline=None)
@given(
    st.lists(st.floats(-2000.0, 2000.0, width=32), min_size=0, max_size=400),
    st.sampled_from([0.002, 0.01, 0.05, 0.5]),
    st.integers(0, 2**31),
)
def test_any_trace_gives_strokes_in_order(forces: list[float], step: float, seed: int) -> None:
    rng = np.random.default_rng(seed)
    time_s = np.cumsum(step * rng.choice([1.0, 1.0, 1.0, 1.1, 40.0], len(forces)))
    strokes = find_strokes(ForceTrace(time_s, np.array(forces, dtype=np.float64)))
    _check_order(strokes, time_s)


def test_a_rise_at_the_very_last_sample_is_no_trouble() -> None:
    rng = np.random.default_rng(686557)
    time_s = np.cumsum(0.5 * rng.choice([1.0, 1.0, 1.0, 1.1, 40.0], 6))
    force_n = np.array([0.0, 0.0, 0.0, 0.0, 0.0, 1.0])
    _check_order(find_strokes(ForceTrace(time_s, force_n)), time_s)


def test_a_fall_of_the_first_samples_has_no_catch_before_them() -> None:
    time_s = np.array([2.0, 2.055, 2.105, 2.155, 2.205, 2.255, 2.305])
    force_n = np.array([0.0, -1.0, 0.0, 0.0, 0.0, 0.0, -1.0])
    _check_order(find_strokes(ForceTrace(time_s, force_n)), time_s)


def _check_order(strokes: tuple[Stroke, ...], time_s: FloatArray) -> None:
    for i, stroke in enumerate(strokes):
        assert stroke.index == i
        assert time_s[0] <= stroke.catch_s < stroke.finish_s <= time_s[-1]
        if i:
            assert stroke.catch_s > strokes[i - 1].catch_s
        if stroke.next_catch_s is not None:
            assert stroke.next_catch_s == strokes[i + 1].catch_s
