"""Strokes of the picture measured by the same specs as those of the force."""

from __future__ import annotations

import numpy as np
import pytest

from analysis.body.piece import NO_STROKES, analyse_body
from analysis.body.track import POINTS, BodyTrack
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


def test_a_film_without_strokes_says_so() -> None:
    shape = (30, len(POINTS))
    track = BodyTrack(
        np.arange(30) / 30.0, np.full((*shape, 2), 100.0), np.ones(shape), np.ones(shape, np.uint8)
    )
    body = analyse_body(track)
    assert body.strokes == () and body.remarks[0] == NO_STROKES and body.order is None
