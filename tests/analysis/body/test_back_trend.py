"""The trend of the load on the low back: neither a creeping camera nor jitter is a load."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from analysis.body.angles import BodySeries
from analysis.body.back_load import Athlete
from analysis.body.back_trend import CREEP_M, BackTrend, back_trend
from analysis.clocks.alignment import Alignment
from analysis.force.piece import PieceAnalysis, analyse
from analysis.force.trace import ForceTrace
from tests.helpers.curves import row
from tests.helpers.rowed import force_of, rowed

ATHLETE = Athlete(80.0, 1.84, 0.25)


def posture(time_s: np.ndarray, handle: np.ndarray, hip: np.ndarray | None = None) -> BodySeries:
    far = (handle - handle.min()) / np.ptp(handle)
    nothing = np.full_like(time_s, np.nan)
    lean = np.radians(28.0 - 50.0 * far)
    more = {} if hip is None else {"hip_height_m": hip}
    seat = 0.6 * handle
    return BodySeries(time_s, nothing, lean, nothing, nothing, seat, handle, 0.45 + 0 * far, more)


def piece_and_body(strokes: int = 15, with_hip: bool = True) -> tuple[PieceAnalysis, BodySeries]:
    trace = row(strokes)
    assert trace.position_m is not None
    frames = np.arange(trace.time_s[0], trace.time_s[-1], 1.0 / 30.0)
    handle = np.interp(frames, trace.time_s, trace.position_m)
    hip = np.full_like(frames, 0.25) if with_hip else None
    return analyse(trace), posture(frames, handle, hip)


def noisy(piece: PieceAnalysis, seed: int, spread: float = 0.03) -> PieceAnalysis:
    """Strokes that differ as those of a trained rower do."""
    rng = np.random.default_rng(seed)
    sizes = 1.0 + spread * rng.normal(size=len(piece.strokes))
    trace = piece.trace
    middles = np.array([0.5 * (s.catch_s + s.finish_s) for s in piece.strokes])
    nearest = np.abs(trace.time_s[:, None] - middles).argmin(axis=1)
    return replace(piece, trace=replace(trace, force_n=trace.force_n * sizes[nearest]))


def moved(body: BodySeries, seed: int, creep_m: float, degrees: float = 1.0) -> BodySeries:
    """The same body seen by a camera that creeps, through points that jump."""
    rng = np.random.default_rng([seed, 5])
    rise = np.linspace(0.0, creep_m, len(body.time_s))
    jump = rng.normal(size=(3, len(rise)))
    rows = {
        "trunk_lean_rad": body.trunk_lean_rad + np.radians(degrees) * jump[0],
        "handle_height_m": body.handle_height_m + rise + 0.004 * jump[1],
    }
    if "hip_height_m" in body.more:
        rows["hip_height_m"] = body.values("hip_height_m") + rise + 0.004 * jump[2]
    return body.with_values(rows)


def read(piece: PieceAnalysis, body: BodySeries) -> BackTrend:
    answer = back_trend(piece, body, Alignment(), ATHLETE)
    assert answer is not None and answer.change is not None
    return answer


def test_trend_is_relative_to_the_start_and_labelled() -> None:
    piece, body = piece_and_body()
    answer = read(piece, body)
    assert "estimate" in answer.label and len(answer.strokes) == len(piece.strokes)
    np.testing.assert_allclose(answer.relative, 1.0, atol=0.02)
    assert answer.change is not None and abs(answer.change.change) < 0.01 and not answer.is_sure


def test_the_clocks_are_kept_apart() -> None:
    piece, body = piece_and_body()
    late = replace(body, time_s=body.time_s + 2.0)
    one = read(piece, body)
    other = back_trend(piece, late, Alignment(offset_s=2.0), ATHLETE)
    assert other is not None
    np.testing.assert_allclose(other.compression_n, one.compression_n, rtol=1e-6)


@pytest.mark.parametrize("with_hip", [True, False])
def test_two_centimetres_of_creep_are_no_load(with_hip) -> None:
    """Of 200 cameras that creep, few more than the one in twenty an interval lets through."""
    piece, body = piece_and_body(with_hip=with_hip)
    sure = sum(read(noisy(piece, seed), moved(body, seed, 0.02)).is_sure for seed in range(200))
    assert sure <= 14


def test_creep_is_gone_where_levers_are_taken_within_the_frame() -> None:
    piece, body = piece_and_body()
    still, crept = (read(piece, moved(body, 1, creep)) for creep in (0.0, 0.02))
    assert still.change is not None and crept.change is not None
    assert crept.change.change == pytest.approx(still.change.change, abs=0.002)
    blind, crept = (
        read(piece, moved(replace(body, more={}), 1, creep)) for creep in (0.0, CREEP_M)
    )
    assert blind.change is not None and crept.change is not None
    seen = crept.change.change - blind.change.change
    assert seen > 0.03, "else this test says nothing"
    assert crept.creep == pytest.approx(seen, rel=0.3), "what creep could do is known"


def test_what_a_zoom_and_a_sliding_hand_do_is_said_beside_the_trend() -> None:
    piece, body = piece_and_body()
    share = np.linspace(0.0, 1.0, len(body.time_s))
    nearer = 1.0 + 0.03 * share
    zoomed = body.with_values(
        {
            "handle_height_m": body.handle_height_m * nearer,
            "hip_height_m": body.values("hip_height_m") * nearer,
        }
    )
    slid = body.with_values({"handle_height_m": body.handle_height_m + 0.03 * share})
    before, zoom, slide = (read(piece, each) for each in (body, zoomed, slid))
    assert before.change is not None and zoom.change is not None and slide.change is not None
    assert 0.005 < zoom.change.change - before.change.change < 0.04
    assert slide.change.change - before.change.change > 0.05 and slide.is_sure
    said = " ".join(slide.limits)
    assert "zoomed" in said and "slides 3 cm" in said


@pytest.mark.parametrize("degrees", [1.0, 3.0])
def test_jitter_does_not_raise_the_load(degrees) -> None:
    piece, body = piece_and_body()
    quiet = float(np.median(read(piece, body).compression_n))
    loud = [np.median(read(piece, moved(body, s, 0.0, degrees)).compression_n) for s in range(10)]
    assert np.mean(loud) == pytest.approx(quiet, rel=0.004 * degrees)


def test_a_load_that_rises_is_still_seen() -> None:
    piece, body = piece_and_body(25)
    deeper = np.radians(np.linspace(0.0, 12.0, len(body.time_s)))
    body = body.with_values({"trunk_lean_rad": body.trunk_lean_rad + deeper})
    answer = read(piece, moved(body, 3, 0.02))
    assert answer.change is not None and answer.change.change > 0.05 and answer.is_sure


def test_the_size_of_what_acceleration_asks_for_is_told() -> None:
    """A trunk that swings as a pendulum with its joint at rest: I times the angle's acceleration.

    Worked out by hand for a mass m at r from a joint that does not move: m (r^2 + k^2) times it.
    """
    from analysis.body.back_load import BALANCE_SHARE, HIP_TO_SHOULDER, JOINT_SHARE, MASS_ABOVE
    from analysis.body.back_trend import GYRATION_SHARE, _trunk_moment

    time_s = np.arange(0.0, 6.0, 1.0 / 60.0)
    lean = np.radians(4.0) * np.sin(2.0 * np.pi * 0.6 * time_s)
    trunk = HIP_TO_SHOULDER * ATHLETE.stature_m
    # The hip moves so that the joint, a way up the trunk, stays where it is.
    seat = JOINT_SHARE * trunk * np.sin(lean)
    nothing = np.full_like(time_s, np.nan)
    body = BodySeries(time_s, nothing, lean, nothing, nothing, seat, nothing, nothing)
    arm, radius = (BALANCE_SHARE - JOINT_SHARE) * trunk, GYRATION_SHARE * trunk
    swing = -((2.0 * np.pi * 0.6) ** 2) * lean
    by_hand = -MASS_ABOVE * ATHLETE.mass_kg * (arm**2 + radius**2) * swing
    found = _trunk_moment(body, ATHLETE, 1.0)
    inner = slice(20, -20)
    np.testing.assert_allclose(found[inner], by_hand[inner], atol=0.03 * np.abs(by_hand).max())


def test_a_simulated_piece_gives_published_sizes() -> None:
    """Models that know muscles and accelerations give peaks of 2694 N (women, Morris et al. 2000,
    Int J Sports Med 21:518-523) to 6066 N (men, Hosea & Hannafin 2012, Sports Health 4:236-245;
    both from memory). What balances weight and pull alone must lie below, and above the weight.
    """
    from analysis.body.from_track import see_body
    from tests.helpers.followed import track_of

    piece = rowed(strokes=16)
    body = see_body(track_of(piece, 0.003), stature_m=1.84).series
    answer = read(force_of(piece), body)
    assert 0.536 * 80.0 * 9.8 < float(np.median(answer.compression_n)) < 6066.0
    assert np.isfinite(answer.inertia_nm).all() and not answer.is_sure


def test_nothing_where_posture_and_force_never_meet() -> None:
    piece, body = piece_and_body(8)
    far = replace(body, time_s=body.time_s + 500.0)
    assert back_trend(piece, far, Alignment(), ATHLETE) is None
    assert isinstance(piece.trace, ForceTrace)
