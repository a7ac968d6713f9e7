"""The line between two clocks."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from analysis.clocks.alignment import (
    DRIFT_SPAN_S,
    Alignment,
    AlignmentError,
    Pair,
    align_by_pairs,
)

offsets = st.floats(-3600, 3600)
drifts = st.floats(-200, 200)


@given(offsets, drifts, st.floats(-4000, 4000))
def test_there_and_back(offset_s: float, drift_ppm: float, video_s: float) -> None:
    alignment = Alignment(offset_s, drift_ppm)
    assert alignment.video_time(alignment.trace_time(video_s)) == pytest.approx(video_s, abs=1e-9)


@given(offsets, drifts)
def test_two_pairs_give_offset_and_drift(offset_s: float, drift_ppm: float) -> None:
    true = Alignment(offset_s, drift_ppm)
    pairs = [Pair(v, true.trace_time(v)) for v in (4.0, 4.0 + 5 * DRIFT_SPAN_S)]
    found = align_by_pairs(pairs, 1 / 30, 0.01)
    assert found.drift_ppm == pytest.approx(drift_ppm, abs=1e-3)
    assert found.video_time(0.0) == pytest.approx(offset_s, abs=1e-6)


def test_one_pair_gives_the_offset_with_the_rounding_of_frame_and_sample() -> None:
    found = align_by_pairs([Pair(5.0, 1.63)], 1 / 30, 0.01)
    assert found.offset_s == pytest.approx(3.37)
    assert found.drift_ppm == 0.0
    # Standard deviation of a rounding error is step / sqrt(12) (uniform distribution).
    assert found.uncertainty_s == pytest.approx(1.96 * (((1 / 30) ** 2 + 0.01**2) / 12) ** 0.5)


def test_pairs_close_together_do_not_make_a_drift() -> None:
    found = align_by_pairs([Pair(5.0, 1.63), Pair(8.0, 4.60)], 1 / 30, 0.01)
    assert found.drift_ppm == 0.0
    assert found.offset_s == pytest.approx(3.385)


def test_pairs_on_different_strokes_are_refused() -> None:
    with pytest.raises(AlignmentError, match="another stroke"):
        align_by_pairs([Pair(5.0, 1.6), Pair(45.0, 44.0)], 1 / 30, 0.01)
    with pytest.raises(AlignmentError):
        align_by_pairs([], 1 / 30, 0.01)


@pytest.mark.parametrize(
    ("drift_ppm", "said"),
    [
        (0.0, ""),
        (10.0, ""),
        (200.0 / 3.6, "the force recorder's clock runs 0.2 s an hour fast"),
        (-1e6 / 3600.0, "the force recorder's clock runs 1.0 s an hour slow"),
        (-500_000.0, "the film plays at 50 % of the real speed"),
    ],
)
def test_drift_is_said_in_seconds_an_hour(drift_ppm: float, said: str) -> None:
    """An hour of the film is so much more or less on the recorder's clock: no parts per million."""
    alignment = Alignment(0.0, drift_ppm)
    assert alignment.drift_said == said
    if "an hour" in said:
        gained_s = alignment.trace_time(3600.0) - 3600.0
        assert f"{abs(gained_s):.1f} s" in said and ("fast" in said) == (gained_s > 0.0)


EARLY = Alignment(2.0, 40.0, 0.02, "by picture", until_s=30.0)
LATE = Alignment(-3.0, -60.0, 0.05, "by sound", from_s=30.0)  # five seconds were left out
CUT = replace(EARLY, further=(LATE,))


def test_each_side_of_a_cut_has_its_own_line() -> None:
    assert CUT.parts == (EARLY, LATE) == replace(LATE, further=(EARLY,)).parts
    assert CUT.trace_time(29.0) == EARLY.trace_time(29.0)
    assert CUT.trace_time(30.0) == LATE.trace_time(30.0)
    assert CUT.holds(0.0) and CUT.holds(1e6) and not CUT.has_gap
    assert CUT.is_rough and "±50 ms" in CUT.how_sure, "as sure as the side that is least sure"


@given(st.floats(-1e3, 1e3))
def test_there_and_back_over_a_cut_is_the_same_moment(video_s: float) -> None:
    assert CUT.shown(CUT.trace_time(video_s)) == pytest.approx(video_s, abs=1e-6)
    assert CUT.video_time(CUT.trace_time(video_s)) == pytest.approx(video_s, abs=1e-6)


def test_what_was_left_out_is_shown_nowhere_and_stands_at_the_cut() -> None:
    for trace_s in (28.1, 30.0, 32.9):
        assert CUT.shown(trace_s) is None and CUT.video_time(trace_s) == 30.0
    assert CUT.shows(20.0, 22.0) and CUT.shows(35.0, 37.0)
    assert not CUT.shows(27.0, 29.0) and not CUT.shows(27.0, 34.0)


def test_a_side_that_is_not_known_is_not_lined_up() -> None:
    last = replace(LATE, from_s=50.0)
    line = replace(EARLY, further=(last,))
    assert line.has_gap and not line.holds(40.0) and line.holds(50.0)
    assert line.side_at(40.0) == (30.0, 50.0) and line.side_at(60.0) == (50.0, None)
    by_hand = Alignment(-1.0, 0.0, 0.01, "by hand", from_s=30.0, until_s=50.0)
    mended = line.with_part(by_hand)
    assert mended.parts == (EARLY, by_hand, last) and not mended.has_gap
    assert [line for *_, line in mended.lines(0.0, 60.0)] == [EARLY, by_hand, last]
    again = mended.with_part(replace(by_hand, offset_s=0.0))
    assert len(again.parts) == 3 and again.trace_time(40.0) == 40.0


def test_the_data_of_a_line_up_lists_its_parts_beside_the_keys_there_were() -> None:
    data = CUT.as_data()
    assert data["offset_s"] == 2.0 and [p["offset_s"] for p in data["parts"]] == [2.0, -3.0]
    keys = {"offset_s", "drift_ppm", "uncertainty_s", "method", "ambiguous", "from_s", "until_s"}
    assert set(data) == {*keys, "parts"} and all(set(p) == keys for p in data["parts"])
    assert len(Alignment().as_data()["parts"]) == 1


@given(st.floats(0.3, 4.0), st.floats(0.0, 60.0))
def test_a_film_told_to_run_otherwise_keeps_each_moment(by: float, video_s: float) -> None:
    assume(abs(video_s - 30.0) > 1e-6)
    at = CUT.stretched(by).trace_time(video_s * by)
    assert at == pytest.approx(CUT.trace_time(video_s), abs=1e-6)
    assert CUT.moved(7.0).trace_time(video_s + 7.0) == pytest.approx(CUT.trace_time(video_s))


THREE = Alignment(
    -10.0, until_s=20.0,
    further=(Alignment(-15.0, from_s=20.0, until_s=40.0), Alignment(-100.0, from_s=40.0)),
)  # fmt: skip


@pytest.mark.parametrize("own", [0, 1, 2])
@pytest.mark.parametrize(
    ("trace_s", "cut_s"), [(30.5, 20.0), (34.9, 20.0), (55.1, 40.0), (90.0, 40.0), (139.9, 40.0)]
)
def test_what_several_cuts_left_out_stands_each_at_its_own(
    own: int, trace_s: float, cut_s: float
) -> None:
    """Whichever side has the most strokes."""
    parts = THREE.parts
    said = replace(parts[own], further=tuple(p for p in parts if p is not parts[own]))
    assert said.shown(trace_s) is None and said.video_time(trace_s) == cut_s


@given(st.lists(st.floats(-20.0, 200.0), min_size=2, max_size=8))
def test_over_several_cuts_later_is_never_earlier(trace_s: list[float]) -> None:
    moments = [THREE.video_time(t) for t in sorted(trace_s)]
    assert moments == sorted(moments)


@given(st.floats(5.0, 900.0), offsets, drifts)
def test_the_first_frame_after_a_cut_is_shown(cut_s: float, offset_s: float, ppm: float) -> None:
    later = Alignment(offset_s - 7.0, ppm, from_s=cut_s)
    film = Alignment(offset_s, ppm, until_s=cut_s, further=(later,))
    assert film.shown(film.trace_time(cut_s)) == cut_s
    assert film.shows(film.trace_time(cut_s), film.trace_time(cut_s + 1.0))
