"""When the hands turn, from the wrist alone, looked at ten times a second."""

from __future__ import annotations

import json
from dataclasses import replace

import numpy as np
import pytest

from analysis.body.detecting.points import due
from analysis.body.following.estimate import Settings, estimate
from analysis.body.following.observed import (
    BODY_POINTS,
    Detections,
    Observed,
    nothing_observed,
    put_detections,
)
from analysis.body.following.turns import phase_of_points
from analysis.body.piece import analyse_body
from analysis.body.track import POINTS, Click
from samples.submission import small_sample

FRAME_S = 1.0 / 30.0


@pytest.fixture(scope="module")
def truth() -> dict:
    return json.loads(small_sample().truth.read_text("utf-8"))


def looked_at(truth: dict) -> Observed:
    """The simulated athlete's joints read a little wrongly, each always the same way."""
    places = truth["frames"]["points_px"]
    xy = np.stack([np.array(places[name]) for name in POINTS], axis=1)
    time = np.arange(len(xy), dtype=np.float64) * np.float64(FRAME_S)
    rng = np.random.default_rng(4)
    xy = xy[:, :BODY_POINTS] + 5.0 * rng.normal(size=(1, BODY_POINTS, 2))
    looks = np.flatnonzero(due(time))
    read = xy[looks] + rng.normal(size=(len(looks), BODY_POINTS, 2))
    observed = nothing_observed(time)
    put_detections(observed, Detections(time[looks], read, np.full(read.shape[:2], 5.0)))
    return replace(observed, phase=phase_of_points(time, observed.xy_px))


def late_by(observed: Observed, truth: dict, settings: Settings) -> tuple[np.ndarray, np.ndarray]:
    """How much too late each turn is found, s: at the catch, and at the finish."""
    strokes = analyse_body(estimate(observed, [], settings)).strokes
    turns = truth["handle_turns"]
    assert len(strokes) >= len(turns) - 1
    catch = np.array([turn["catch_end_s"] for turn in turns])
    finish = np.array([turn["finish_end_s"] for turn in turns])

    def nearest(found: list[float], true: np.ndarray) -> np.ndarray:
        at = np.array(found)
        return at - true[np.abs(true - at[:, None]).argmin(axis=1)]

    return (
        nearest([s.catch_s for s in strokes], catch),
        nearest([s.finish_s for s in strokes], finish),
    )


def test_the_hands_turn_within_a_frame(truth: dict) -> None:
    observed = looked_at(truth)
    for late in late_by(observed, truth, Settings()):
        assert np.percentile(np.abs(late), 95) <= FRAME_S


def test_a_wrist_as_calm_as_the_trunk_would_turn_beside_its_time(truth: dict) -> None:
    """It would lie early at the catch and late at the finish, in every stroke."""
    observed, calm = looked_at(truth), Settings()
    calm = replace(calm, hand_jerk=calm.jerk)
    sharp_catch, sharp_finish = late_by(observed, truth, Settings())
    calm_catch, calm_finish = late_by(observed, truth, calm)
    assert np.median(calm_catch) < np.median(sharp_catch) - 0.01
    assert np.median(calm_finish) > np.median(sharp_finish) + 0.01


def placed(truth: dict, frames: list[int]) -> list[Click]:
    """Somebody places the joints of some frames, half a per cent of stature off."""
    rng = np.random.default_rng(2)
    places = truth["frames"]["points_px"]
    return [
        Click(frame * FRAME_S, name, *(np.array(places[name][frame]) + 2.6 * rng.normal(size=2)))
        for frame in frames
        for name in POINTS[:BODY_POINTS]
    ]


@pytest.mark.parametrize("first", [352, 357, 361])
def test_clicks_do_not_move_the_turns(truth: dict, first: int) -> None:
    """Also where the hands turn in a clicked frame or beside it (the catch is at frame 357)."""
    observed = looked_at(truth)
    clicks = placed(truth, [first, 377, 394, 410, 427])
    untouched = analyse_body(estimate(observed, [])).strokes
    clicked = analyse_body(estimate(observed, clicks)).strokes
    assert len(untouched) == len(clicked)
    for name in ("catch_s", "finish_s"):
        moved = [
            getattr(b, name) - getattr(a, name) for a, b in zip(untouched, clicked, strict=True)
        ]
        assert np.abs(moved).max() < 0.004, name
