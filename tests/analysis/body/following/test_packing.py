"""A track kept in small arrays comes back as it was, to what was promised."""

from __future__ import annotations

import io

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from analysis.body.following.packing import ALL_POINTS, PackedError, pack, unpack
from analysis.body.track import POINTS, BodyTrack, Click, Source


def track(frames: int, width: float, seed: int, steady: bool) -> tuple[BodyTrack, np.ndarray]:
    rng = np.random.default_rng(seed)
    shape = (frames, len(POINTS))
    xy = rng.uniform(-20.0, width, (*shape, 2))
    sd = rng.uniform(0.1, 30.0, shape)
    source = rng.integers(1, 5, shape).astype(np.uint8)
    lost = rng.random(shape) < 0.2
    xy[lost], sd[lost], source[lost] = np.nan, np.nan, 0
    time_s = np.cumsum(rng.uniform(0.01, 0.05, frames))
    matrices = np.tile(np.eye(2, 3), (frames, 1, 1)) + rng.normal(0.0, 0.01, (frames, 2, 3))
    phase = np.where(rng.random(frames) < 0.1, np.nan, np.sort(rng.uniform(0.0, 9.0, frames)))
    return BodyTrack(time_s, xy, sd, source, matrices if steady else None), phase


@settings(max_examples=40, deadline=None)
@given(
    st.integers(0, 30), st.sampled_from([400.0, 1919.0, 3839.0]), st.integers(0, 999), st.booleans()
)
def test_what_is_packed_comes_back(frames: int, width: float, seed: int, steady: bool) -> None:
    kept, phase = track(frames, width, seed, steady)
    clicks = tuple(Click(0.25 * i, p, 100.5 + i, 7.25) for i, p in enumerate(ALL_POINTS))
    file = io.BytesIO()
    np.savez(file, **pack(kept, phase, clicks))
    file.seek(0)
    with np.load(file, allow_pickle=False) as read:
        back, back_phase, back_clicks = unpack(dict(read))
    assert np.array_equal(back.time_s, kept.time_s)
    half_step = 1 / 32 if width < 2047.0 else 1 / 16
    assert np.allclose(back.xy_px, kept.xy_px, atol=half_step + 1e-9, equal_nan=True)
    assert np.allclose(back.sd_px, kept.sd_px, rtol=1e-3, equal_nan=True)
    assert np.array_equal(back.source, kept.source)
    assert np.allclose(back_phase, phase, atol=1e-5, equal_nan=True)
    assert back_clicks == clicks
    assert (back.steady is None) == (kept.steady is None)
    if kept.steady is not None and back.steady is not None:
        assert np.allclose(back.steady, kept.steady, atol=1e-6)


def test_a_minute_is_small() -> None:
    kept, phase = track(1800, 1200.0, 1, True)
    assert sum(a.nbytes for a in pack(kept, phase).values()) < 200_000


def test_a_place_out_of_all_bounds_is_not_kept() -> None:
    kept, phase = track(3, 400.0, 1, False)
    kept.xy_px[1, 2] = 1e6, 3.0
    back, _, _ = unpack(pack(kept, phase))
    assert np.isnan(back.xy_px[1, 2]).all() and back.source[1, 2] == Source.UNKNOWN


@pytest.mark.parametrize(
    ("name", "value"),
    [
        ("time_s", np.array([0.0, 0.0, 1.0])),
        ("time_s", np.array([0.0, np.nan, 1.0])),
        ("unit_px", np.array(np.nan, np.float32)),
        ("xy", np.zeros((3, 4, 2), np.int16)),
        ("xy", np.zeros((3, len(POINTS), 2), np.float64)),
        ("sd_px", np.full((3, len(POINTS)), -1.0, np.float16)),
        ("source", np.full((3, len(POINTS)), 77, np.uint8)),
        ("click_point", np.array([200], np.uint8)),
        ("click_px", np.zeros((5, 2), np.float32)),
        ("steady", np.full((3, 2, 3), np.inf, np.float32)),
        ("phase", None),
    ],
)
def test_arrays_of_somebody_else_are_refused(name: str, value: np.ndarray | None) -> None:
    kept, phase = track(3, 400.0, 2, True)
    packed = pack(kept, phase, [Click(0.0, "hip", 1.0, 2.0)])
    packed["xy"] = np.ones_like(packed["xy"])
    packed["sd_px"] = np.ones_like(packed["sd_px"])
    unpack(packed)
    if value is None:
        del packed[name]
    else:
        packed[name] = value
    with pytest.raises(PackedError, match="follow the body again"):
        unpack(packed)
