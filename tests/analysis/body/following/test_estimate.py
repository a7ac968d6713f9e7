"""The motion estimated from readings that are wrong in the usual ways."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from analysis.body.following.bias import BiasPrior
from analysis.body.following.estimate import Settings, estimate, posterior
from analysis.body.following.next_click import angle_sd, next_click
from analysis.body.following.observed import Observed, nothing_observed, put_detections, unsteadied
from analysis.body.following.turns import phase_of_points
from analysis.body.track import POINTS, Click, Source
from tests.analysis.body.following.linkage import (
    STATURE,
    Truth,
    clicks_at,
    errors,
    read_wrongly,
    rower,
)

TWO, FIVE = [300, 320], [300, 320, 345, 420, 510]


def observe(truth: Truth, seed: int = 5, **how: float) -> Observed:
    observed = nothing_observed(truth.time_s)
    put_detections(observed, read_wrongly(truth, seed, **how))
    rng = np.random.default_rng(seed)
    for k in (7, 8):
        observed.xy_px[:, k] = truth.xy_px[:, k] + 0.2 * rng.normal(size=(len(truth.time_s), 2))
        observed.sd_px[:, k] = 0.2
        observed.source[:, k] = Source.FLOW
    return replace(observed, phase=phase_of_points(observed.time_s, observed.xy_px))


@pytest.fixture(scope="module")
def truth() -> Truth:
    return rower()


@pytest.mark.parametrize("seed", [5, 6, 7])
def test_clicks_teach_what_the_reader_gets_wrong(truth: Truth, seed: int) -> None:
    observed = observe(truth, seed)
    p50, p95 = zip(
        *(
            np.percentile(errors(truth, estimate(observed, clicks_at(truth, at)).xy_px), (50, 95))
            for at in ([], TWO, FIVE)
        ),
        strict=True,
    )
    raw = errors(truth, observed.xy_px)
    assert p50[0] < np.nanpercentile(raw, 50) + 0.05
    assert p95[0] < np.nanpercentile(raw, 95)
    assert p50[1] < 0.75 * p50[0]
    assert p50[2] < 0.6 * p50[0] and p95[2] < 0.75 * p95[0]


def test_no_joint_gets_worse_by_clicks(truth: Truth) -> None:
    """An elbow read nearly rightly: a wide prior lets careless clicks swing it further."""
    observed = observe(truth, constant=0.004, bent=0.003)
    wide = Settings(detector=BiasPrior(0.03, 0.04, 0.01))
    kept, swung = [], []
    for seed in range(4):
        clicks = clicks_at(truth, TWO, seed)
        kept.append(np.median(errors(truth, estimate(observed, clicks).xy_px), axis=0))
        swung.append(np.median(errors(truth, estimate(observed, clicks, wide).xy_px), axis=0))
    untouched = np.median(errors(truth, estimate(observed, []).xy_px), axis=0)
    # Two clicks, each 0.6 % off, cannot do better than that.
    assert np.all(np.mean(kept, axis=0) < np.maximum(untouched, 0.6) + 0.15)
    assert np.mean(kept) < np.mean(untouched)
    assert np.mean(kept) < np.mean(swung)


def test_the_stated_uncertainty_holds(truth: Truth) -> None:
    for at in ([], TWO, FIVE):
        inside = []
        for seed in (5, 6, 7, 8):
            track = estimate(observe(truth, seed), clicks_at(truth, at, seed))
            off = np.abs(track.xy_px - truth.xy_px)[:, :7]
            inside.append(np.mean(off < 1.96 * track.sd_px[:, :7, None]))
        assert 0.88 < np.mean(inside) <= 0.995


def test_networks_that_differ_are_less_sure_and_agreement_makes_nothing_surer(truth: Truth) -> None:
    """Two networks of a family may agree and both be wrong, as on a labelled stranger's film."""
    usual = observe(truth)
    body = slice(0, 7)

    def stated(times: float, clicks: list[Click]) -> float:
        track = estimate(replace(usual, sd_px=times * usual.sd_px), clicks)
        assert np.array_equal(track.xy_px, estimate(usual, clicks).xy_px, equal_nan=True)
        return float(np.nanmedian(track.sd_px[:, body]))

    agreeing, more, apart = (stated(times, []) for times in (0.6, 0.3, 1.5))
    assert agreeing == more and apart > 1.2 * agreeing
    taught = [stated(times, clicks_at(truth, FIVE)) for times in (0.6, 1.5)]
    assert taught[1] / taught[0] < apart / agreeing, "until clicks say more"


def test_neighbours_share_errors_until_somebody_places_points(truth: Truth) -> None:
    observed = observe(truth)
    untouched, clicked = (estimate(observed, c) for c in ([], clicks_at(truth, FIVE)))
    for track in (untouched, clicked):
        assert track.shared_sd_px is not None
        assert (np.nan_to_num(track.shared_sd_px) <= np.nan_to_num(track.sd_px)).all()
        assert not np.nan_to_num(track.shared_sd_px[:, 7:]).any(), "handle and seat share nothing"
    assert untouched.shared_sd_px is not None and clicked.shared_sd_px is not None
    elbow = POINTS.index("elbow")
    assert np.nanmedian(clicked.shared_sd_px[:, elbow]) < 0.5 * np.nanmedian(
        untouched.shared_sd_px[:, elbow]
    )


def test_other_strokes_say_nothing_beyond_the_first_and_last_turn(truth: Truth) -> None:
    """There the phase is not known, and the posture may be none of a stroke."""
    stopped = truth.xy_px.copy()
    end = int(np.flatnonzero(np.mod(truth.share, 1.0) < 0.02)[-1])
    stopped[end:] = stopped[end]  # the athlete rests at the catch
    resting = replace(truth, xy_px=stopped)
    observed = observe(resting, gross=0.0)
    assert np.isnan(observed.phase[end + 20 :]).all()
    rest = errors(resting, estimate(observed, []).xy_px)[end + 10 :]
    read = errors(resting, observed.xy_px)[end + 10 :]
    assert np.percentile(rest, 95) < np.nanpercentile(read, 95) + 0.3


def wrong_in_half(truth: Truth) -> tuple[Observed, np.ndarray]:
    """Give a knee read 14 % of stature too low in every other stroke, at one phase."""
    observed = observe(truth, gross=0.0, constant=0.004, bent=0.004)
    share = np.mod(truth.share, 1.0)
    wrong = (np.mod(np.floor(truth.share), 2) == 0) & (share > 0.1) & (share < 0.25)
    observed.xy_px[wrong, POINTS.index("knee"), 1] += 0.14 * STATURE
    return observed, wrong


def test_one_click_decides_where_half_the_strokes_are_wrong(truth: Truth) -> None:
    observed, wrong = wrong_in_half(truth)
    knee = POINTS.index("knee")
    before = errors(truth, estimate(observed, []).xy_px)[wrong, knee]
    assert np.nanmedian(before) > 3.0  # nobody could know which half is right
    at = int(np.flatnonzero(wrong)[len(np.flatnonzero(wrong)) // 2])
    clicks = clicks_at(truth, [at])
    after = errors(truth, estimate(observed, clicks).xy_px)[:, knee]
    assert np.median(after[wrong]) < 1.5
    assert np.median(after[~wrong]) < 1.5


def test_strokes_that_disagree_are_doubted_and_asked_about(truth: Truth) -> None:
    observed, _ = wrong_in_half(truth)
    known = posterior(observed, [])
    share = np.mod(truth.share, 1.0)
    there = (share > 0.13) & (share < 0.22)
    knee = known.track.sd_px[:, POINTS.index("knee")]
    assert np.nanmedian(knee[there]) > 1.5 * np.nanmedian(knee[share > 0.5])
    asked = next_click(known)
    assert asked is not None
    assert asked.points[0] == "knee"
    assert 0.05 < share[np.argmin(np.abs(truth.time_s - asked.time_s))] < 0.3


def test_the_click_asked_for_is_worth_more_than_another(truth: Truth) -> None:
    observed = observe(truth)
    known = posterior(observed, clicks_at(truth, [300]))
    asked = next_click(known)
    assert asked is not None and asked.gain_rad > 0.0
    at = int(np.argmin(np.abs(truth.time_s - asked.time_s)))

    def unsure(frame: int) -> float:
        sd = angle_sd(posterior(observed, clicks_at(truth, [300, frame])))
        return float(np.sqrt(np.mean(sd**2)))

    now = float(np.sqrt(np.mean(angle_sd(known) ** 2)))
    assert unsure(at) < unsure(302) < now + 1e-9
    assert unsure(at) == pytest.approx(asked.after_rad, rel=0.1)


def test_a_moving_camera_changes_nothing(truth: Truth) -> None:
    observed = observe(truth)
    frames = len(truth.time_s)
    turn = 0.01 * np.sin(np.arange(frames) / 17.0)
    steady = np.zeros((frames, 2, 3))
    steady[:, 0, 0] = steady[:, 1, 1] = np.cos(turn)
    steady[:, 1, 0], steady[:, 0, 1] = np.sin(turn), -np.sin(turn)
    steady[:, 0, 2] = 12.0 * np.sin(np.arange(frames) / 23.0)
    moved = replace(observed, xy_px=unsteadied(observed.xy_px, steady), steady=steady)
    clicks = clicks_at(truth, [300])
    places = unsteadied(np.array([[[c.x_px, c.y_px] for c in clicks]]), steady[300:301])[0]
    as_seen = [
        replace(c, x_px=float(x), y_px=float(y)) for c, (x, y) in zip(clicks, places, strict=True)
    ]
    still = estimate(observed, clicks)
    shaken = estimate(moved, as_seen)
    assert np.allclose(unsteadied(still.xy_px, steady), shaken.xy_px, atol=1e-6)
    assert np.allclose(still.sd_px, shaken.sd_px)


def test_nothing_read_leaves_everything_unknown(truth: Truth) -> None:
    track = estimate(nothing_observed(truth.time_s), [])
    assert np.isnan(track.xy_px).all() and np.isnan(track.sd_px).all()
    assert not track.source.any()


def test_one_click_alone_stays_where_it_was_placed(truth: Truth) -> None:
    click = Click(float(truth.time_s[40]), "knee", 400.0, 300.0)
    track = estimate(nothing_observed(truth.time_s), [click])
    assert track.of("knee")[40].tolist() == [400.0, 300.0]
    assert np.isfinite(track.xy_px).all(axis=-1).sum() == 1


def test_a_long_silence_of_the_reader_is_unknown(truth: Truth) -> None:
    observed = observe(truth)
    short = replace(observed, phase=np.full(len(truth.time_s), np.nan))
    short.xy_px[200:320, :7] = np.nan
    short.sd_px[200:320, :7] = np.nan
    short.source[200:320, :7] = 0
    track = estimate(short, [])
    assert np.isnan(track.xy_px[240:280, :7]).all()
    assert np.isfinite(track.xy_px[:150, :7]).all()
