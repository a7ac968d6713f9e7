"""One owner of time."""

from __future__ import annotations

from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from pytestqt.qtbot import QtBot

from app.media.index import FrameIndex
from app.window.session.playhead import SPEEDS, Playhead, Span


def index_of(count: int, fps: float = 25.0) -> FrameIndex:
    time_s = np.arange(count) / fps
    key = np.zeros(count, bool)
    key[0] = True
    return FrameIndex(
        time_s, np.arange(count, dtype=np.int64), key, Fraction(1, int(fps)), count / fps
    )


@pytest.fixture
def playhead(qapp) -> Playhead:  # type: ignore[no-untyped-def]
    playhead = Playhead()
    playhead.set_recordings(Span(0.0, 3.96), index_of(100))
    return playhead


def test_steps_are_frames(playhead: Playhead) -> None:
    playhead.step(3)
    assert playhead.time_s == pytest.approx(0.12)
    playhead.step(-1)
    assert playhead.time_s == pytest.approx(0.08)
    playhead.step(-50)
    assert playhead.time_s == 0.0
    playhead.step(500)
    assert playhead.time_s == pytest.approx(3.96)


def test_moves_wait_for_the_picture(playhead: Playhead) -> None:
    playhead.set_supplied(True)
    wishes: list[float] = []
    moves: list[float] = []
    playhead.wanted.connect(wishes.append)
    playhead.moved.connect(moves.append)
    playhead.seek(1.0)
    assert (wishes, moves) == ([1.0], [])
    assert playhead.time_s == 0.0
    playhead.arrive(1.0)
    assert moves == [1.0]
    assert playhead.time_s == 1.0


@given(st.floats(allow_nan=False, allow_infinity=False))
def test_no_place_is_outside_the_range(time_s: float) -> None:
    playhead = Playhead()
    playhead.set_recordings(Span(-1.0, 5.0), None)
    playhead.seek(time_s)
    assert -1.0 <= playhead.time_s <= 5.0


def test_playing_moves_on_and_stops_at_the_end(playhead: Playhead, qtbot: QtBot) -> None:
    playhead.seek(3.8)
    with qtbot.waitSignal(playhead.playing_changed, timeout=5000) as started:
        playhead.play()
    assert started.args == [True]
    with qtbot.waitSignal(playhead.playing_changed, timeout=5000) as ended:
        pass
    assert ended.args == [False]
    assert playhead.time_s == pytest.approx(3.96)


def test_a_loop_is_not_left(playhead: Playhead, qtbot: QtBot) -> None:
    playhead.set_loop(Span(1.0, 1.2))
    times: list[float] = []
    playhead.moved.connect(times.append)
    playhead.play()
    qtbot.waitUntil(lambda: sum(np.diff(times) < 0) >= 2 if times else False, timeout=5000)
    playhead.pause()
    assert min(times) >= 1.0
    assert max(times) < 1.2


def test_changing_speed_does_not_jump(playhead: Playhead) -> None:
    playhead.seek(2.0)
    for _ in SPEEDS:
        playhead.change_speed(1)
    assert playhead.speed == SPEEDS[-1]
    assert playhead.time_s == 2.0
    for _ in SPEEDS:
        playhead.change_speed(-1)
    assert playhead.speed == SPEEDS[0]


def test_the_moment_meant_at_rest_is_the_one_asked_for(playhead: Playhead) -> None:
    """A catch marked while its frame was still decoding once landed on the frame before."""
    playhead.set_supplied(True)
    playhead.seek(1.0)
    assert (playhead.time_s, playhead.moment_s) == (0.0, 1.0)
    playhead.play()
    assert playhead.moment_s == 0.0
    playhead.pause()


def test_playing_backwards_stops_at_the_start(playhead: Playhead, qtbot: QtBot) -> None:
    playhead.seek(0.16)
    times: list[float] = []
    playhead.moved.connect(times.append)
    playhead.reverse()
    assert playhead.is_playing and playhead.is_backwards
    qtbot.waitUntil(lambda: not playhead.is_playing, timeout=5000)
    assert playhead.time_s == 0.0 and not playhead.is_backwards
    assert times == sorted(times, reverse=True)


def test_backwards_from_the_start_begins_at_the_end_and_again_stops(playhead: Playhead) -> None:
    playhead.reverse()
    assert playhead.wanted_s == pytest.approx(3.96)
    playhead.reverse()
    assert not playhead.is_playing
    playhead.reverse()
    playhead.play()
    assert playhead.is_playing and not playhead.is_backwards
    playhead.pause()


def test_a_loop_is_not_left_backwards(playhead: Playhead, qtbot: QtBot) -> None:
    playhead.set_loop(Span(1.0, 1.2))
    times: list[float] = []
    playhead.moved.connect(times.append)
    playhead.reverse()
    qtbot.waitUntil(lambda: sum(np.diff(times) > 0) >= 2 if times else False, timeout=5000)
    playhead.pause()
    assert min(times) >= 1.0
    assert max(times) < 1.2
