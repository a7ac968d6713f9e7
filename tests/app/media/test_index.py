from __future__ import annotations

import pickle
from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.media.errors import MediaError
from app.media.index import FrameIndex, PacketTimes, build_index, in_real_seconds

bases = st.sampled_from([Fraction(1, 90_000), Fraction(1, 1000), Fraction(1, 15_360),
                         Fraction(1001, 30_000), Fraction(1, 12_800)])  # fmt: skip


@st.composite
def indexes(draw: st.DrawFn) -> FrameIndex:
    first = draw(st.integers(-(2**33), 2**33))
    gaps = draw(st.lists(st.integers(1, 9000), min_size=0, max_size=60))
    pts = first + np.concatenate([[0], np.cumsum(gaps)]).astype(int)
    order = draw(st.permutations(range(len(pts))))
    packets = [PacketTimes(int(pts[k]), k, draw(st.integers(0, 3000)), k % 7 == 0, True)
               for k in order]  # fmt: skip
    return build_index(packets, draw(bases), 512)


@given(indexes())
def test_times_start_at_zero_and_grow(index: FrameIndex) -> None:
    assert index.time_s[0] == 0.0
    assert (np.diff(index.time_s) > 0).all()
    assert index.end_s > index.time_s[-1]
    assert len(index.time_s) == len(index.pts) == len(index.key)


@given(indexes(), st.data())
def test_a_frames_own_time_leads_back_to_it(index: FrameIndex, data: st.DataObject) -> None:
    k = data.draw(st.integers(0, len(index) - 1))
    t = float(index.time_s[k])
    assert index.at(t) == k
    assert index.at(np.nextafter(t, -1)) == k
    assert index.at(np.nextafter(t, 1e12)) == k
    assert index.at(float(f"{t:.6f}")) == k  # as it comes out of a file
    assert index.at((t * 1000) / 1000) == k


@given(indexes(), st.floats(-1e6, 1e6))
def test_the_frame_on_screen_holds_the_time(index: FrameIndex, t: float) -> None:
    k = index.at(t)
    assert 0 <= k < len(index)
    slack = 1e-5
    if 0 <= t < index.time_s[-1]:
        assert index.time_s[k] <= t + slack
        assert t < index.time_s[k + 1]
    else:
        assert k == (0 if t < 0 else len(index) - 1)


@given(indexes())
def test_times_that_are_no_numbers_are_clamped(index: FrameIndex) -> None:
    assert index.at(float("nan")) == 0
    assert index.at(float("-inf")) == 0
    assert index.at(float("inf")) == len(index) - 1


def test_hidden_frames_lead_to_decoding_but_are_not_shown() -> None:
    packets = [
        PacketTimes(-30, 0, 10, key=True, shown=False),
        PacketTimes(-20, 1, 10, key=False, shown=False),
        PacketTimes(-10, 2, 10, key=False, shown=True),
        PacketTimes(0, 3, 10, key=True, shown=True),
    ]
    index = build_index(packets, Fraction(1, 10), 10)
    assert index.pts.tolist() == [-10, 0]
    assert index.time_s.tolist() == [0.0, 1.0]
    assert index.end_s == 2.0
    assert [index.key_before(i) for i in range(2)] == [-30, 0]


def test_of_two_frames_with_one_timestamp_the_later_is_shown() -> None:
    packets = [PacketTimes(p, n, 0, n == 0, True) for n, p in enumerate([0, 10, 10, 20])]
    index = build_index(packets, Fraction(1, 10), 10)
    assert index.pts.tolist() == [0, 10, 20]
    assert index.end_s == 3.0  # no duration given: as long as the others


def test_slow_motion_in_real_seconds() -> None:
    packets = [PacketTimes(n * 3000, n, 3000, n == 0, True) for n in range(241)]
    index = build_index(packets, Fraction(1, 90_000), 3000)
    real = in_real_seconds(index, fps=30, capture_fps=240)
    assert real.time_s[240] == pytest.approx(1.0)  # 240 intervals of a 240th of a second
    assert real.end_s == pytest.approx(241 / 240)
    assert all(real.at(float(t)) == k for k, t in enumerate(real.time_s))
    assert real.key_before(100) == index.key_before(100)
    with pytest.raises(MediaError, match="above zero"):
        in_real_seconds(index, 30, 0)


def test_asking_an_index_changes_nothing_in_it() -> None:
    """One thread sends it to a child process while another asks: it must hold still."""
    index = build_index([PacketTimes(p, p, 1, p == 0, True) for p in range(5)], Fraction(1, 10), 1)
    before = dict(vars(index))
    assert index.at(0.2) == 2
    assert index.key_before(3) == 0
    assert vars(index) == before
    again = pickle.loads(pickle.dumps(index))
    assert [again.at(t / 10) for t in range(5)] == [0, 1, 2, 3, 4]


def test_very_close_frames_are_still_told_apart() -> None:
    index = build_index(
        [PacketTimes(p, p, 1, p == 0, True) for p in range(3)], Fraction(1, 10**6), 1
    )
    assert [index.at(t / 10**6) for t in range(3)] == [0, 1, 2]
    assert index.at(1.5e-6) == 1
