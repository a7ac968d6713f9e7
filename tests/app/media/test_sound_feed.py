"""Sound at hand when it is due."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from pytestqt.qtbot import QtBot

from app.media.index import read_index
from app.media.sound import read_sound
from app.media.sound_feed import CHUNK_S, RATE_HZ, SoundFeed
from tests.helpers.clips import make_clip, needs_ffmpeg


@needs_ffmpeg
def test_samples_are_those_of_the_recording(tmp_path: Path, qtbot: QtBot) -> None:
    clip = make_clip(tmp_path, "h264_b")
    index = read_index(clip)
    feed = SoundFeed(clip, index)
    try:
        feed.expect(0.0)
        qtbot.waitUntil(lambda: feed.is_ready(0.0), timeout=10000)
        start, count = int(0.5 * RATE_HZ), int(0.25 * RATE_HZ)
        whole = read_sound(clip, 0.0, CHUNK_S, RATE_HZ, index)
        assert np.array_equal(feed.samples(start, count), whole[start : start + count])
        assert np.abs(feed.samples(start, count)).max() > 0.05
        assert not feed.samples(-500, 400).any()
    finally:
        feed.close()


def test_a_file_that_is_gone_is_heard_as_silence(tmp_path: Path, qtbot: QtBot) -> None:
    from fractions import Fraction

    from app.media.index import FrameIndex

    index = FrameIndex(
        np.array([0.0, 1.0]), np.array([0, 1]), np.array([True, False]), Fraction(1, 1), 2.0
    )
    feed = SoundFeed(tmp_path / "gone.mp4", index)
    feed.expect(0.0)
    qtbot.waitUntil(lambda: feed.is_ready(0.0), timeout=10000)
    assert not feed.samples(0, 100).any()
    feed.close()
    assert feed.samples(0, 10) == pytest.approx(np.zeros(10))
