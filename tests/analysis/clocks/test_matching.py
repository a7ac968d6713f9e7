"""Offset and drift found from what both recordings show, on a piece whose truth is known."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from analysis.clocks.alignment import Alignment, AlignmentError
from analysis.clocks.matching import check, line_up
from analysis.clocks.motion import MotionSignal
from analysis.clocks.sound import SoundSignal
from analysis.force.strokes import find_strokes
from analysis.force.trace import ForceTrace
from samples.force_recording import RecorderOptions, record
from samples.piece import Piece, PieceOptions, simulate_piece

FPS = 30.0
OFFSET_S, DRIFT_PPM = 4.2, 120.0


@cache
def piece(variation: float = 1.0) -> Piece:
    return simulate_piece(PieceOptions(seed=5, duration_s=60.0, rate_spm=26.0, variation=variation))


def filmed(
    of: Piece, begin_s: float = 6.0, end_s: float = 40.0, slow: float = 1.0, sign: float = 1.0
) -> MotionSignal:
    """The handle as seen by a camera that runs from `begin_s`, in picture widths, with noise."""
    time_s = np.arange(begin_s, end_s, 1.0 / (FPS * slow))
    travel = np.diff(np.interp(time_s, of.time_s, of.handle_m), prepend=0.0) * 0.3 * sign
    travel[0] = 0.0
    travel = travel + np.random.default_rng(3).normal(0.0, 3e-4, len(travel))
    return MotionSignal((time_s - begin_s) * slow, travel, 0.9, np.ones((2, 2), np.float32))


def heard(of: Piece, begin_s: float = 6.0, end_s: float = 40.0) -> SoundSignal:
    """Three bands that follow the wheel and two that do not."""
    time_s = np.arange(begin_s, end_s, 0.01)
    wheel = np.log(np.interp(time_s, of.time_s, of.flywheel_rad_s))
    noise = np.random.default_rng(4).normal(0.0, 0.12, (len(time_s), 5))
    level = np.outer(wheel, [3.0, 4.0, 2.0, 0.0, 0.0]) + noise
    return SoundSignal(time_s - begin_s, level)


@cache
def recorded(
    variation: float = 1.0, position: bool = True, drift_ppm: float = DRIFT_PPM
) -> ForceTrace:
    options = RecorderOptions(offset_s=OFFSET_S, drift_ppm=drift_ppm, position=position)
    recording = record(piece(variation), options, 9)
    return ForceTrace(recording.time_s, recording.force_n, recording.position_m)


TRUE_OFFSET_S = OFFSET_S - 6.0  # the footage begins at world second 6


def test_picture_finds_offset_and_says_how_sure() -> None:
    trace = recorded()
    found = line_up(filmed(piece()), None, trace, find_strokes(trace))
    a = found.alignment
    assert not a.ambiguous and a.method == "by picture"
    assert abs(a.offset_s - TRUE_OFFSET_S) < 0.5 / FPS
    assert a.uncertainty_s is not None
    assert abs(a.offset_s - TRUE_OFFSET_S) < a.uncertainty_s < 0.05
    assert found.slow_motion == 1.0 and found.strokes >= 12
    assert len(found.residual_s) == found.strokes


def test_force_alone_and_sound_alone_find_it_too() -> None:
    trace = recorded(position=False)
    strokes = find_strokes(trace)
    picture = line_up(filmed(piece()), None, trace, strokes)
    sound = line_up(None, heard(piece()), trace, strokes)
    both = line_up(filmed(piece()), heard(piece()), trace, strokes)
    for found in (picture, sound, both):
        assert abs(found.alignment.offset_s - TRUE_OFFSET_S) < 0.04
        assert not found.alignment.ambiguous
    assert sound.alignment.method == "by sound" and sound.picture is None and sound.faces == ""
    assert both.alignment.method == "by picture and sound"
    assert both.common_uncertainty_s < picture.common_uncertainty_s


@pytest.mark.parametrize("late_s", [-0.4, 0.3])
def test_nothing_is_sure_where_the_sound_contradicts_picture_and_force(late_s: float) -> None:
    trace = recorded()
    strokes = find_strokes(trace)
    motion = filmed(piece(), end_s=20.0)
    right = line_up(motion, heard(piece(), end_s=20.0), trace, strokes, 1.0)
    assert right.verdict == "lined up" and "contradict" not in right.alignment.method
    sound = heard(piece(), 6.0 - late_s, 20.0 - late_s)
    found = line_up(motion, sound, trace, strokes, 1.0)
    assert found.verdict == "one of several" and found.alignment.ambiguous
    assert found.alignment.method == "by picture and sound, which contradict each other"
    assert found.common_uncertainty_s > 2.0 * right.common_uncertainty_s


@pytest.fixture(scope="module")
def there() -> Alignment:
    """Where they lie before one of them is shifted."""
    trace = recorded()
    return line_up(filmed(piece()), None, trace, find_strokes(trace), 1.0).alignment


@settings(max_examples=5, deadline=None)
@given(shift_s=st.floats(-500.0, 500.0))
def test_shifting_the_trace_clock_shifts_the_answer(there: Alignment, shift_s: float) -> None:
    trace = recorded()
    moved = replace(trace, time_s=trace.time_s + shift_s)
    here = line_up(filmed(piece()), None, moved, find_strokes(moved), 1.0)
    for trace_s in (8.0, 20.0, 32.0):
        assert here.alignment.video_time(trace_s + shift_s) == pytest.approx(
            there.video_time(trace_s), abs=1e-3
        )


@settings(max_examples=4, deadline=None)
@given(shift_s=st.floats(-20.0, 20.0))
def test_shifting_the_film_clock_shifts_the_answer(there: Alignment, shift_s: float) -> None:
    trace = recorded()
    motion = filmed(piece())
    moved = replace(motion, time_s=motion.time_s + shift_s)
    here = line_up(moved, None, trace, find_strokes(trace), 1.0).alignment
    assert here.offset_s - there.offset_s == pytest.approx(shift_s, abs=2e-3)


@pytest.mark.parametrize("drift_ppm", [-200.0, 200.0])
def test_a_clock_that_runs_off_is_followed(drift_ppm: float) -> None:
    trace = recorded(drift_ppm=drift_ppm)
    found = line_up(filmed(piece()), None, trace, find_strokes(trace)).alignment
    true = Alignment(TRUE_OFFSET_S, drift_ppm)
    for video_s in (1.0, 17.0, 33.0):
        assert abs(found.trace_time(video_s) - true.trace_time(video_s)) < 0.5 / FPS


def test_either_way_of_facing() -> None:
    trace = recorded()
    strokes = find_strokes(trace)
    left = line_up(filmed(piece()), None, trace, strokes)
    right = line_up(filmed(piece(), sign=-1.0), None, trace, strokes)
    assert (left.faces, right.faces) == ("left", "right")
    assert right.alignment.offset_s == pytest.approx(left.alignment.offset_s, abs=2e-3)


def test_half_speed_footage_is_known_by_its_strokes() -> None:
    trace = recorded()
    found = line_up(filmed(piece(), 6.0, 34.0, slow=2.0), None, trace, find_strokes(trace))
    assert found.slow_motion == 2.0
    true_rate = (1.0 + DRIFT_PPM * 1e-6) / 2.0
    true = Alignment(2.0 * TRUE_OFFSET_S, (true_rate - 1.0) * 1e6)
    assert not found.alignment.ambiguous
    for video_s in (4.0, 28.0, 50.0):
        assert abs(found.alignment.trace_time(video_s) - true.trace_time(video_s)) < 0.5 / FPS


def test_strokes_all_alike_are_not_guessed() -> None:
    trace = recorded(variation=0.0)
    # A second of rest at neither end: the footage lies within even strokes.
    found = line_up(filmed(piece(0.0), 12.0, 30.0), None, trace, find_strokes(trace))
    assert found.alignment.ambiguous
    true_s = OFFSET_S - 12.0
    assert any(abs(c.offset_s - true_s) < 0.03 for c in found.candidates)
    assert found.candidates[0].likelihood < 0.6


def test_dropped_samples_and_a_trace_that_ends_early() -> None:
    trace = recorded()
    keep = np.random.default_rng(8).random(len(trace.time_s)) > 0.05
    keep &= trace.time_s < 26.0
    assert trace.position_m is not None
    thin = ForceTrace(trace.time_s[keep], trace.force_n[keep], trace.position_m[keep])
    found = line_up(filmed(piece()), None, thin, find_strokes(thin)).alignment
    assert abs(found.offset_s - TRUE_OFFSET_S) < 0.5 / FPS


def test_what_is_shown_lies_over_each_other() -> None:
    trace = recorded()
    found = line_up(filmed(piece()), heard(piece()), trace, find_strokes(trace))
    for shown in (found.picture, found.sound):
        assert shown is not None
        known = np.isfinite(shown.predicted)
        assert known.mean() > 0.8
        assert np.corrcoef(shown.motion[known], shown.predicted[known])[0, 1] > 0.6


def test_a_line_up_that_came_along_is_judged() -> None:
    trace = recorded()
    strokes = find_strokes(trace)
    motion = filmed(piece())
    true = Alignment(TRUE_OFFSET_S, DRIFT_PPM, 0.01, "by hand")
    good = check(true, motion, None, trace, strokes)
    assert good.agrees is True and abs(good.apart_s or 0.0) < 0.02
    bad = check(replace(true, offset_s=TRUE_OFFSET_S + 0.4), motion, None, trace, strokes)
    assert bad.agrees is False
    assert bad.apart_s == pytest.approx(-0.4, abs=0.02)
    assert "earlier" in bad.sentence


def test_nothing_to_compare_is_said() -> None:
    trace = recorded()
    with pytest.raises(AlignmentError, match="no motion and has no sound"):
        line_up(None, None, trace, find_strokes(trace))
    with pytest.raises(AlignmentError, match="fewer than two strokes"):
        line_up(filmed(piece()), None, trace, find_strokes(trace)[:1])
    assert check(Alignment(), None, None, trace, find_strokes(trace)).agrees is None
