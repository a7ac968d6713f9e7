"""Strokes from the picture: where the hands turn."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra import numpy as hnp

from analysis.body.angles import BodySeries
from analysis.body.from_track import see_body
from analysis.body.strokes import body_strokes
from analysis.body.track import POINTS
from samples.piece import Piece, PieceOptions, simulate_piece
from tests.helpers.followed import track_of


def rowing(**options) -> Piece:
    return simulate_piece(PieceOptions(seed=3, duration_s=30.0, rate_spm=24.0, **options))  # type: ignore[arg-type]


def turn_errors(piece: Piece, fps: float, noise: float, seed: int = 0) -> tuple[np.ndarray, int]:
    """Seconds by which turns are off, and how many strokes are lost or made up."""
    body = see_body(track_of(piece, noise, fps=fps, seed=seed), stature_m=1.84).series
    strokes = body_strokes(body)
    starts = np.array([c.start_s for c in piece.cycles])
    # An athlete who pauses sets off when the pause is over, and has finished when it begins.
    ends = np.array([c.far_s for c in piece.cycles])
    off = [s.catch_s - starts[np.abs(starts - s.catch_s).argmin()] for s in strokes]
    off += [s.finish_s - ends[np.abs(ends - s.finish_s).argmin()] for s in strokes]
    seen_s = float(body.time_s[-1]) - 0.1
    whole = sum(c.start_s >= 0.1 and c.far_s <= seen_s for c in piece.cycles)
    return np.array(off), len(strokes) - whole


@pytest.mark.parametrize("fps", [30.0, 60.0])
@pytest.mark.parametrize(
    "options",
    [
        {},
        {"pauses": ((2, 4.0), (5, 1.0))},
        {"half_strokes": (3, 6)},
        {"pauses": ((4, 6.0),), "half_strokes": (0, 5)},
        {"faults": (("seat-first", 1.0),)},
        {"faults": (("rushed-recovery", 1.0),)},
    ],
)
def test_turns_are_found_between_frames(fps, options) -> None:
    off, lost = turn_errors(rowing(**options), fps, 0.003)
    assert lost in (0, 1)
    # A frame of 30 a second; of this half is common to all turns of a kind. After a pause the
    # wheel is slow, and the hands gather speed in another way than in the other strokes.
    most = 1.5 if len(options) > 1 else 1.0
    assert np.percentile(np.abs(off), 95) < most / 30.0


@pytest.mark.parametrize(("fps", "most"), [(30.0, 0.4), (60.0, 0.5)])
def test_turns_are_alike_within_half_a_frame(fps, most) -> None:
    off, _ = turn_errors(rowing(), fps, 0.003)
    half = len(off) // 2
    for kind in (off[:half], off[half:]):
        assert fps * np.percentile(np.abs(kind - kind.mean()), 95) < most


def test_half_strokes_and_pauses_are_named() -> None:
    body = see_body(track_of(rowing(pauses=((4, 6.0),), half_strokes=(6,)), 0.003)).series
    strokes = body_strokes(body)
    assert [s.index for s in strokes if s.remark] == [5]
    assert strokes[5].remark == "half stroke"
    assert strokes[3].next_catch_s is None and strokes[4].before_s is None
    assert strokes[2].next_catch_s == strokes[3].catch_s


def test_a_start_from_rest_is_a_stroke_and_a_film_that_begins_in_a_drive_has_none() -> None:
    time_s = np.arange(0.0, 9.0, 1.0 / 30.0)
    since = np.maximum(time_s - 0.5, 0.0)
    handle = 0.65 * (1.0 - np.cos(2.0 * np.pi * since / 2.5))
    nothing = np.full_like(time_s, np.nan)
    body = BodySeries(time_s, nothing, nothing, nothing, nothing, nothing, handle, nothing)
    from_rest = body_strokes(body)
    assert len(from_rest) == 3 and from_rest[0].catch_s == pytest.approx(0.5, abs=0.1)
    late = time_s >= 1.0
    cut = BodySeries(time_s[late], *(nothing[late],) * 5, handle[late], nothing[late])
    assert [s.catch_s for s in body_strokes(cut)] == pytest.approx([3.0, 5.5], abs=0.05)


def test_a_turn_within_a_gap_is_not_guessed() -> None:
    track = track_of(rowing(), 0.001)
    whole = body_strokes(see_body(track).series)
    gap = np.abs(track.time_s - whole[4].catch_s) < 0.25
    xy_px = track.xy_px.copy()
    xy_px[gap] = np.nan
    left = body_strokes(see_body(replace(track, xy_px=xy_px)).series)
    assert len(left) == len(whole) - 1
    assert all(abs(s.catch_s - whole[4].catch_s) > 0.5 for s in left)


def test_the_seat_stands_in_for_hands_nobody_saw() -> None:
    track = track_of(rowing(), 0.003)
    xy_px = track.xy_px.copy()
    xy_px[:, [POINTS.index("handle"), POINTS.index("wrist")]] = np.nan
    seen = body_strokes(see_body(replace(track, xy_px=xy_px)).series)
    hands = body_strokes(see_body(track).series)
    assert len(seen) == len(hands)
    np.testing.assert_allclose([s.catch_s for s in seen], [s.catch_s for s in hands], atol=0.1)


@settings(max_examples=30, deadline=None)
@given(hnp.arrays(np.float64, 90, elements=st.floats(-3.0, 3.0) | st.just(np.nan)))
def test_any_way_is_cut_in_order(handle) -> None:
    nothing = np.full(90, np.nan)
    body = BodySeries(np.arange(90) / 30.0, *(nothing,) * 5, handle, nothing)
    strokes = body_strokes(body)
    for stroke in strokes:
        assert stroke.catch_s < stroke.finish_s
        assert stroke.next_catch_s is None or stroke.next_catch_s > stroke.finish_s
    assert [s.catch_s for s in strokes] == sorted(s.catch_s for s in strokes)
