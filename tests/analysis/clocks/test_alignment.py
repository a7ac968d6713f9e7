"""The line between two clocks."""

from __future__ import annotations

import pytest
from hypothesis import given
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
