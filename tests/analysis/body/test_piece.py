"""Strokes of the picture measured by the same specs as those of the force."""

from __future__ import annotations

import json

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra import numpy as hnp

from analysis.body.piece import NO_STROKES, analyse_body
from analysis.body.track import POINTS, BodyTrack
from analysis.findings.find import find
from analysis.measures.registry import KEYS
from samples.piece import PieceOptions, simulate_piece
from tests.helpers.followed import track_of
from tests.helpers.rowed import rowed

FROM_PICTURE = {"drive_s", "recovery_s", "rhythm", "rate_spm", "length_m"}


@pytest.mark.parametrize("rate_spm", [18.0, 26.0, 34.0])
def test_rate_time_and_length_are_those_of_the_handle(rate_spm) -> None:
    piece = simulate_piece(PieceOptions(seed=2, duration_s=30.0, rate_spm=rate_spm))
    body = analyse_body(track_of(piece, 0.003), stature_m=1.84)
    whole = [c for c in piece.cycles if c.start_s > 0.1 and c.end_s < piece.time_s[-1] - 0.1]
    usual = body.usual
    assert usual["rate_spm"] is not None and usual["drive_s"] is not None
    assert usual["length_m"] is not None and usual["rhythm"] is not None
    truth = 60.0 / np.mean([c.end_s - c.start_s for c in whole])
    assert usual["rate_spm"].mean == pytest.approx(truth, rel=0.01)
    # Each turn is up to half a frame off, both the same way round.
    drive_s = np.mean([c.far_s - c.start_s for c in whole])
    assert usual["drive_s"].mean == pytest.approx(drive_s, abs=0.04)
    way = np.mean([c.far_m - c.start_m for c in whole])
    assert usual["length_m"].mean == pytest.approx(way, rel=0.03)


def test_nothing_is_measured_that_needs_force_and_no_length_without_a_scale() -> None:
    known = analyse_body(track_of(rowed()), stature_m=1.84).usual
    assert {key for key in KEYS if known[key] is not None} == FROM_PICTURE
    shares = analyse_body(track_of(rowed())).usual
    assert {key for key in KEYS if shares[key] is not None} == FROM_PICTURE - {"length_m"}


@pytest.mark.parametrize(
    ("fps", "handle", "told"),
    [(30.0, True, 33), (60.0, True, 17), (60.0, False, 50), (15.0, False, 67)],
)
def test_it_says_how_sure_the_turns_are(fps: float, handle: bool, told: int) -> None:
    """The wrist is looked at ten times a second: more frames make its turns no surer."""
    piece = simulate_piece(PieceOptions(seed=2, duration_s=12.0, rate_spm=26.0))
    track = track_of(piece, fps=fps)
    if not handle:
        track.xy_px[:, POINTS.index("handle")] = np.nan
    assert f"to about {told} ms." in analyse_body(track).remarks[0]


def test_a_film_without_strokes_says_so() -> None:
    shape = (30, len(POINTS))
    track = BodyTrack(
        np.arange(30) / 30.0, np.full((*shape, 2), 100.0), np.ones(shape), np.ones(shape, np.uint8)
    )
    body = analyse_body(track)
    assert body.strokes == () and body.remarks[0] == NO_STROKES and body.order is None


@settings(max_examples=25, deadline=None)
@given(
    hnp.arrays(
        np.float64, (40, len(POINTS), 2), elements=st.floats(-50.0, 2000.0) | st.just(np.nan)
    ),
    hnp.arrays(np.float64, (40, len(POINTS)), elements=st.floats(0.0, 50.0) | st.just(np.nan)),
    st.sampled_from([1.0 / 60.0, 0.1, 2.0]),
)
def test_any_points_give_an_answer(xy_px, sd_px, step_s) -> None:
    source = np.ones(sd_px.shape, np.uint8)
    body = analyse_body(BodyTrack(step_s * np.arange(40), xy_px, sd_px, source))
    assert body.remarks and len(body.measures) == len(body.strokes)
    for finding in find(None, None, body.series):
        json.dumps(finding.as_dict(), allow_nan=False)


@pytest.mark.parametrize("frames", [0, 1, 2, 9])
def test_a_film_of_a_few_frames_is_no_error(frames) -> None:
    track = track_of(rowed())
    few = BodyTrack(
        track.time_s[:frames], track.xy_px[:frames], track.sd_px[:frames], track.source[:frames]
    )
    assert analyse_body(few).strokes == ()


def test_a_long_rest_is_no_stroke_and_hides_none() -> None:
    """A film in which the athlete rests for most of the time is cut as any other."""
    piece = simulate_piece(
        PieceOptions(seed=4, duration_s=60.0, rate_spm=24.0, pauses=((3, 20.0),))
    )
    body = analyse_body(track_of(piece, 0.003))
    whole = [c for c in piece.cycles if c.start_s > 0.1 and c.far_s < piece.time_s[-1] - 0.2]
    assert abs(len(body.strokes) - len(whole)) <= 1
    assert sum(s.next_catch_s is None for s in body.strokes) == 2


def test_a_turn_in_an_unclear_picture_is_said_to_be_less_sure() -> None:
    track = track_of(rowed(), 0.003)
    sure = analyse_body(track)
    third = sure.strokes[2]
    around = np.abs(track.time_s - third.catch_s) < 0.25
    track.sd_px[around, POINTS.index("handle")] *= 4.0
    unsure = analyse_body(track)
    assert [s.index for s in unsure.strokes if s.turn_sd_s > 0.0] == [2]
    assert unsure.strokes[2].catch_s == third.catch_s, "it is where the others put it"
    (said,) = set(unsure.remarks) - set(sure.remarks)
    assert "stroke 3" in said and said.endswith("ms only.")
