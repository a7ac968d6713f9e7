import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from samples.faults import FAULTS
from samples.piece import Piece, PieceOptions, simulate_piece
from samples.rower import Build, Motion, move

BUILD = Build()


def rowed(rate: float = 22.0, **faults: float) -> tuple[Piece, Motion]:
    pairs = tuple((code.replace("_", "-"), strength) for code, strength in faults.items())
    piece = simulate_piece(PieceOptions(rate_spm=rate, duration_s=12.0, faults=pairs))
    return piece, move(piece, np.arange(0.0, 12.0, 0.01))


def at_travel(motion: Motion, name: str, share: float, drive: bool = True) -> float:
    """Mean angle in degrees (or height in metres for "handle") near one share of the way out."""
    near = (motion.drive == drive) & (np.abs(motion.travel - share) < 0.04)
    if name == "handle":
        return float(motion.points["handle"][near, 1].mean())
    return float(np.degrees(motion.angles[name][near]).mean())


@given(
    rate=st.floats(18.0, 40.0),
    faults=st.lists(
        st.tuples(st.sampled_from(FAULTS), st.floats(0.0, 1.0)),
        max_size=2,
        unique_by=lambda f: f[0],
    ),
    seed=st.integers(0, 99),
)
@settings(max_examples=40, deadline=None)
def test_segments_keep_their_length_and_hands_hold_the_handle(rate, faults, seed):
    piece = simulate_piece(PieceOptions(seed, 8.0, rate_spm=rate, faults=tuple(faults)))
    times = np.arange(0.0, 8.0, 1.0 / 60.0)
    motion = move(piece, times)
    p = motion.points
    low, mid, high = BUILD.trunk
    for a, b, length in (
        ("ankle", "knee", BUILD.shank),
        ("knee", "hip", BUILD.thigh),
        ("hip", "low_back", low),
        ("low_back", "chest", mid),
        ("chest", "shoulder", high),
        ("shoulder", "elbow", BUILD.upper_arm),
        ("elbow", "handle", BUILD.forearm),
    ):
        gap = np.hypot(*(p[a] - p[b]).T)
        assert gap == pytest.approx(np.full(len(times), length), abs=1e-6), (a, b)
    # The handle in the picture moves exactly as the simulated one does.
    handle = np.interp(times, piece.time_s, piece.handle_m)
    assert np.ptp(p["handle"][:, 0] - handle) < 1e-9
    assert (p["handle"][:, 1] > 0.25).all()
    # Nothing jumps: 1/60 s at 6 m/s.
    for name, path in p.items():
        assert np.abs(np.diff(path, axis=0)).max() < 0.10, name


def test_angles_are_those_of_trained_rowers():
    # Knee flexion 120-140 deg at the catch, 0-15 at the finish; trunk 25-35 deg forward at the
    # catch and 20-30 back at the finish (side views of trained rowers, from memory); thorax
    # excursion 44-52 deg on a sliding seat, Bioengineering 2023;10:774, widened by 6 deg because
    # hip to shoulder is not the thorax.
    for rate in (18.0, 24.0, 32.0):
        _, m = rowed(rate)
        catch, finish = m.travel < 0.002, m.travel > 0.998
        knee, trunk = np.degrees(m.angles["knee"]), np.degrees(m.angles["trunk"])
        assert 115.0 < knee[catch].mean() < 140.0
        assert 0.0 < knee[finish].mean() < 15.0
        assert 25.0 < trunk[catch].mean() < 35.0
        assert -30.0 < trunk[finish].mean() < -20.0
        assert 38.0 < trunk.max() - trunk.min() < 62.0


def test_handle_travel_is_that_of_adult_rowers():
    # 1.3-1.6 m (general literature, from memory).
    piece, _ = rowed()
    assert 1.3 < np.mean([c.far_m - c.start_m for c in piece.cycles]) < 1.6


def test_legs_then_trunk_then_arms_and_the_reverse_on_the_way_home():
    _, m = rowed()
    assert at_travel(m, "knee", 0.3) < 75.0  # the legs have done half of their way
    assert at_travel(m, "trunk", 0.3) > 15.0  # while the trunk has hardly opened
    assert at_travel(m, "elbow", 0.45) < 16.0  # and the arms are straight
    assert at_travel(m, "elbow", 0.6, drive=False) < 20.0
    assert at_travel(m, "trunk", 0.35, drive=False) > 12.0
    assert at_travel(m, "knee", 0.6, drive=False) < 15.0


@pytest.mark.parametrize(
    ("fault", "name", "share", "drive", "sign"),
    [
        ("early_arms", "elbow", 0.4, True, 1),
        ("early_trunk", "trunk", 0.25, True, -1),
        ("back_rounds", "low_back", 0.33, True, 1),
        ("empty_lean_back", "trunk", 0.97, True, -1),
        ("hands_off_level", "handle", 0.4, True, 1),
        ("seat_first", "trunk", 0.08, True, 1),
        ("thrown_catch", "trunk", 0.04, False, 1),
        ("give", "low_back", 0.27, True, 1),
    ],
)
def test_each_body_fault_shows_where_it_should_and_grows(fault, name, share, drive, sign):
    values = [at_travel(rowed(**{fault: a})[1], name, share, drive) for a in (0.0, 0.4, 0.9)]
    assert sign * (values[1] - values[0]) > 0.0
    assert sign * (values[2] - values[1]) > 0.0


def test_seat_leaves_while_the_handle_stands():
    piece, m = rowed(seat_first=0.9)
    cycle = piece.cycles[2]
    at = [cycle.start_s - 0.06, cycle.start_s + 0.03]
    seat = np.interp(at, m.time_s, m.points["seat"][:, 0])
    handle = np.interp(at, m.time_s, m.points["handle"][:, 0])
    assert seat[1] - seat[0] > 0.03
    assert abs(handle[1] - handle[0]) < 0.02


def test_segment_shares_add_up_to_the_handbook_heights():
    # Drillis and Contini 1966 as printed in Winter: ankle .039 + shank .246 = knee height .285;
    # + thigh .245 = hip height .530; + trunk .288 = shoulder height .818.
    body = Build(1.0)
    assert body.ankle + body.shank == pytest.approx(0.285)
    assert body.ankle + body.shank + body.thigh == pytest.approx(0.530)
    assert body.ankle + body.shank + body.thigh + sum(body.trunk) == pytest.approx(0.818)
