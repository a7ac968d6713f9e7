"""Kept frames come to the screen while the decoder is busy, and never out of order."""

from __future__ import annotations

import queue
from collections.abc import Callable, Iterator
from pathlib import Path

import numpy as np
import pytest

from app.media.cache import FrameCache
from app.media.courier import EXACT, NEAR, QUICK, Courier, Screen, ShownFrame
from app.media.video import VideoFile
from app.media.wishes import Wish, Wishes
from tests.helpers.clips import number_in
from tests.helpers.patience import HANGS_S

BOX = (160, 90)
WAIT_S = HANGS_S


@pytest.fixture
def video(clip: Callable[[str], Path]) -> Iterator[VideoFile]:
    with VideoFile.open(clip("h264_long")) as opened:
        yield opened


def test_a_kept_frame_is_shown_with_nobody_decoding(video: VideoFile) -> None:
    shown: queue.Queue[ShownFrame] = queue.Queue()
    wishes, cache = Wishes(), FrameCache(2**24)
    cache.resize(BOX)
    for i in range(40):
        cache.put(i, video.small(i, *BOX), i, 1)
    courier = Courier(video, wishes, cache, None, Screen(shown.put, wishes), lambda i: i == 7)
    try:
        for i in (*range(40), *reversed(range(39))):
            wishes.ask(i, *BOX)
            frame = shown.get(timeout=WAIT_S)
            assert (frame.index, number_in(frame.image_bgra)) == (i, i)
            assert frame.exact and frame.damaged == (i == 7)
        wishes.ask(5, 80, 44)  # kept at another size: not for it
        wishes.ask(6, *BOX)
        assert shown.get(timeout=WAIT_S).index == 6
    finally:
        wishes.close()
        courier.close()


def test_an_older_or_worse_answer_never_follows() -> None:
    shown: list[ShownFrame] = []
    wishes = Wishes()
    screen = Screen(shown.append, wishes)

    def answer(serial: int, goodness: int, index: int) -> None:
        frame = ShownFrame(index, float(index), np.zeros((2, 2, 4), np.uint8))
        screen.show(Wish(index, *BOX, serial), goodness, frame)

    answer(0, NEAR, 1)
    answer(0, NEAR, 2)
    answer(0, EXACT, 3)
    answer(0, QUICK, 4)
    answer(2, QUICK, 5)
    answer(1, EXACT, 6)
    answer(2, EXACT, 7)
    answer(2, EXACT, 8)
    assert [frame.index for frame in shown] == [1, 2, 3, 5, 7]
    assert screen.index == 7
    wishes.close()
    answer(3, EXACT, 9)
    assert len(shown) == 5
