import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from samples.faults import FAULTS, CurveShape, SampleError, fault_strengths, force_curve
from samples.piece import PieceOptions, simulate_piece

S = np.linspace(0.0, 1.0, 401)


def curve(**faults: float) -> np.ndarray:
    pairs = [(code.replace("_", "-"), strength) for code, strength in faults.items()]
    return force_curve(S, CurveShape(), fault_strengths(pairs))


def turning_points(values: np.ndarray) -> int:
    steps = np.sign(np.diff(values))
    return int(np.count_nonzero(np.diff(steps[steps != 0])))


CLEAN = curve()


def test_the_clean_curve_is_one_hill_that_ends_at_nothing():
    assert turning_points(CLEAN) == 1
    assert CLEAN[0] == 0.0
    assert CLEAN[-1] == pytest.approx(0.0, abs=1e-12)
    assert 0.9 < CLEAN.max() <= 1.0


@given(
    rate=st.floats(18.0, 40.0),
    fault=st.sampled_from(FAULTS),
    strength=st.floats(0.0, 1.0),
    seed=st.integers(0, 1000),
)
@settings(max_examples=40, deadline=None)
def test_any_piece_is_rowable(rate, fault, strength, seed):
    options = PieceOptions(seed, 20.0, rate_spm=rate, faults=((fault, strength),))
    piece = simulate_piece(options)
    assert np.isfinite(piece.force_n).all()
    assert (piece.force_n >= options.cord_n - 1e-9).all()
    assert (piece.flywheel_rad_s > 10.0).all()
    speed = np.diff(piece.handle_m) * options.grid_hz
    assert np.abs(speed).max() < 5.0
    assert np.abs(np.diff(speed)).max() < 0.35  # no jump in speed from sample to sample
    assert len(piece.strokes) >= 4
    for stroke, after in zip(piece.strokes, piece.strokes[1:], strict=False):
        assert stroke.catch_s < stroke.finish_s < after.catch_s
        assert stroke.next_catch_s == after.catch_s


def test_catch_and_finish_stand_where_force_crosses_five_percent():
    options = PieceOptions(duration_s=30.0, grid_hz=5000.0)
    piece = simulate_piece(options)
    above_cord = piece.force_n - options.cord_n
    for stroke in piece.strokes:
        at = np.interp([stroke.catch_s, stroke.finish_s], piece.time_s, above_cord)
        assert at == pytest.approx([0.05 * stroke.peak_n] * 2, abs=0.6)


def test_the_handle_follows_the_sprocket_while_the_chain_pulls():
    piece = simulate_piece(PieceOptions(duration_s=12.0, grid_hz=2000.0))
    cycle = piece.cycles[2]
    pulling = (piece.time_s > cycle.engage_s + 0.002) & (piece.time_s < cycle.release_s - 0.002)
    speed = np.gradient(piece.handle_m, piece.time_s)[pulling]
    wheel = piece.flywheel_rad_s[pulling] * piece.options.flywheel.sprocket_m
    assert speed == pytest.approx(wheel, rel=0.01)


@pytest.mark.parametrize("rate", [18.0, 24.0, 30.0, 36.0])
def test_drive_times_are_those_of_trained_rowers(rate):
    # About 0.75-1.0 s, long at low rates and short at high ones (general literature, from
    # memory); widened by 0.1 s on both sides.
    piece = simulate_piece(PieceOptions(rate_spm=rate))
    drive = np.mean([s.finish_s - s.catch_s for s in piece.strokes])
    assert 0.65 < drive < 1.1
    period = np.mean(np.diff([s.catch_s for s in piece.strokes]))
    assert 60.0 / period == pytest.approx(rate, rel=0.03)


def test_pauses_and_half_strokes():
    piece = simulate_piece(PieceOptions(duration_s=40.0, pauses=((4, 3.0),), half_strokes=(7,)))
    kinds = [s.kind for s in piece.strokes]
    assert kinds.count("half") == 1
    ends = [i for i, s in enumerate(piece.strokes) if s.next_catch_s is None]
    assert len(ends) == 2
    first = piece.strokes[ends[0]]
    assert piece.strokes[ends[0] + 1].catch_s - first.finish_s > 3.0
    half = next(s for s in piece.strokes if s.kind == "half")
    assert half.pull_m < 0.6 * first.pull_m


def test_the_same_seed_is_the_same_piece_and_another_is_not():
    one, two = simulate_piece(PieceOptions(seed=5)), simulate_piece(PieceOptions(seed=5))
    other = simulate_piece(PieceOptions(seed=6))
    assert one.force_n.tobytes() == two.force_n.tobytes()
    assert one.force_n.tobytes() != other.force_n.tobytes()


def test_hard_catch_loads_the_first_fifth():
    first = S <= 0.2
    assert curve(hard_catch=0.6)[first].sum() > 1.3 * CLEAN[first].sum()


def test_give_dips_and_comes_again():
    given_way = curve(give=0.6)
    assert turning_points(given_way) == 3
    dip = given_way[(S > 0.2) & (S < 0.32)].min()
    assert dip < 0.8 * given_way[S < 0.2].max()


def test_stairs_on_the_way_up():
    steps = np.diff(curve(stepped_build_up=0.8)[S < 0.6])
    assert np.count_nonzero(np.diff(np.sign(np.diff(steps))[:-1])) >= 6


@pytest.mark.parametrize(
    ("fault", "measure", "sign"),
    [
        ("peaky", lambda c: c.mean() / c.max(), -1),
        ("early-loss", lambda c: c[S > 0.6].sum() / c.sum(), -1),
        ("empty-finish", lambda c: c[S > 0.65].sum() / c.sum(), -1),
        ("late-peak", lambda c: S[c.argmax()], 1),
        ("finish-snatch", lambda c: c[(S > 0.85) & (S < 0.95)].max(), 1),
    ],
)
def test_each_fault_bends_the_curve_its_own_way(fault, measure, sign):
    values = [
        measure(force_curve(S, CurveShape(), fault_strengths([(fault, a)]))) for a in (0, 0.4, 0.9)
    ]
    assert sign * (values[1] - values[0]) > 0.0
    assert sign * (values[2] - values[1]) > 0.0


def test_faults_of_the_piece():
    def peaks(fault: str) -> np.ndarray:
        piece = simulate_piece(PieceOptions(duration_s=120.0, faults=((fault, 0.8),)))
        return np.array([s.peak_n for s in piece.strokes])

    clean = simulate_piece(PieceOptions(duration_s=120.0))
    plain = np.array([s.peak_n for s in clean.strokes])
    assert peaks("uneven").std() > 2.5 * plain.std()
    assert peaks("fading")[-8:].mean() < 0.85 * peaks("fading")[:8].mean()
    rushed = simulate_piece(PieceOptions(faults=(("rushed-recovery", 0.8),)))
    assert len(rushed.strokes) > len(simulate_piece(PieceOptions()).strokes)


def test_wrong_options_are_named():
    with pytest.raises(SampleError, match="no fault 'slouch'"):
        simulate_piece(PieceOptions(faults=(("slouch", 0.5),)))
    with pytest.raises(SampleError, match="strength of 'give'"):
        simulate_piece(PieceOptions(faults=(("give", 1.5),)))
    with pytest.raises(SampleError, match="rate"):
        simulate_piece(PieceOptions(rate_spm=90.0))


def test_the_rate_can_climb_over_the_piece():
    piece = simulate_piece(PieceOptions(duration_s=120.0, rate_spm=20.0, end_rate_spm=32.0))
    rates = 60.0 / np.diff([s.catch_s for s in piece.strokes])
    assert rates[:4].mean() == pytest.approx(20.0, rel=0.05)
    assert rates[-4:].mean() == pytest.approx(32.0, rel=0.05)
    assert simulate_piece(PieceOptions(duration_s=120.0)).strokes[-1].next_catch_s is None
