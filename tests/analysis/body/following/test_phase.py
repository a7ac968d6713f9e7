"""Phase, and where other strokes say a point is."""

from __future__ import annotations

import numpy as np

from analysis.body.following.phase_mean import BINS, distrust, middle, on_frames, strokes_of
from analysis.body.following.turns import phase_of, phase_of_points
from tests.analysis.body.following.linkage import rower


def test_turns_are_found_between_frames() -> None:
    time = np.arange(0.0, 12.0, 1.0 / 30.0)
    phase = phase_of(time, -np.cos(2.0 * np.pi * (time - 0.317) / 2.4))
    inside = np.isfinite(phase)
    assert time[inside][0] < 1.6 and time[inside][-1] > 9.8
    expected = (time - 0.317) / 2.4  # the first turn stands out too little at the edge
    assert np.abs(phase - expected)[inside].max() < 0.01


def test_there_is_no_phase_beyond_the_turns_nor_without_any() -> None:
    time = np.arange(0.0, 10.0, 1.0 / 30.0)
    way = np.where((time > 2.0) & (time < 8.0), -np.cos(np.pi * (time - 2.0)), -1.0)
    phase = phase_of(time, way)
    assert np.isnan(phase[time < 2.3]).all() and np.isnan(phase[time > 7.7]).all()
    assert np.isnan(phase_of(time, np.zeros_like(time))).all()
    assert np.isnan(phase_of(time, np.full_like(time, np.nan))).all()


def test_a_turn_not_seen_is_counted_over() -> None:
    time = np.arange(0.0, 12.0, 1.0 / 30.0)
    way = -np.cos(2.0 * np.pi * time / 2.0)
    way[(time > 5.2) & (time < 6.8)] = np.nan
    phase = phase_of(time, way)
    late = time > 9.0
    assert np.nanmax(np.abs(phase - phase[late][0] - (time - time[late][0]) / 2.0)[late]) < 0.02


def test_a_rest_at_one_end_does_not_bend_the_phase() -> None:
    """The seat stands still at the finish, and a little noise decides where its turn is seen."""
    time = np.arange(0.0, 14.0, 1.0 / 30.0)
    share = (time - 0.2) / 2.4
    way = np.minimum(-np.cos(2.0 * np.pi * share), 0.4)
    bump = np.where(np.floor(share) % 2 == 0, 0.3, 0.7)
    way = way + 0.02 * np.exp(-(((np.mod(share, 1.0) - bump) / 0.04) ** 2))
    phase = phase_of(time, way)
    inside = np.isfinite(phase)
    assert inside.mean() > 0.6
    off = phase[inside] - share[inside]
    assert np.abs(off - np.median(off)).max() < 0.03


def test_whole_phases_are_the_turns_at_the_feet_whichever_way_the_athlete_looks() -> None:
    truth = rower(10.0)
    for mirror in (1.0, -1.0):
        xy = truth.xy_px * np.array((mirror, 1.0))
        phase = phase_of_points(truth.time_s, xy)
        at_feet = truth.time_s[np.flatnonzero(np.diff(np.floor(phase)) > 0)]
        nearest = np.abs(at_feet[:, None] - truth.turn_s[None]).min(axis=1)
        assert len(at_feet) >= 3 and nearest.max() < 0.12


def test_other_strokes_are_read_at_the_same_phase() -> None:
    phase = np.linspace(0.0, 4.0, 240, endpoint=False)
    at = np.stack((np.sin(2 * np.pi * phase), np.cos(2 * np.pi * phase)), axis=1)[:, None]
    at = at + 0.02 * np.floor(phase)[:, None, None]
    strokes = strokes_of(phase, at, np.ones((240, 1), dtype=bool))
    centre, spread = middle(strokes)
    assert centre.shape == (BINS, 1, 2)
    back = on_frames(phase, centre)
    assert np.abs(back - at).max() < 0.06
    assert 0.01 < np.median(spread) < 0.04
    assert np.isnan(on_frames(np.array([np.nan]), centre)).all()


def test_two_strokes_are_too_few_to_speak() -> None:
    phase = np.linspace(0.0, 2.0, 120, endpoint=False)
    at = np.zeros((120, 1, 2))
    centre, _ = middle(strokes_of(phase, at, np.ones((120, 1), dtype=bool)))
    assert np.isnan(centre).all()


def test_a_click_against_all_strokes_is_bias_and_one_against_some_is_not() -> None:
    phase = np.linspace(0.0, 4.0, 240, endpoint=False)
    at = np.zeros((240, 1, 2))
    known = np.ones((240, 1), dtype=bool)
    strokes = strokes_of(phase, at, known)
    distrust(strokes, 1.5, 0, np.array((30.0, 0.0)), far_px=10.0)
    assert (strokes.trust == 1.0).all()
    at[(phase >= 2.0)] = (30.0, 0.0)
    strokes = strokes_of(phase, at, known)
    distrust(strokes, 1.5, 0, np.array((29.0, 0.0)), far_px=10.0)
    centre, _ = middle(strokes)
    assert np.allclose(centre[BINS // 2, 0], (30.0, 0.0))
    assert (strokes.trust[2:] == 1.0).all() and (strokes.trust[:2, BINS // 2] < 0.5).all()
