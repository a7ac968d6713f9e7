"""The quick way of a clip's frames gives the same picture as the way through RGB."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from av.video.frame import VideoFrame
from numpy.typing import NDArray

from app.media.clip_frames import ClipFrames, clip_size
from app.media.encode import ClipWriter
from app.media.orientation import Turn
from app.media.veil import Patch
from app.media.video import VideoFile
from tests.helpers.clips import number_in, numbered


@pytest.fixture(scope="module")
def tagged(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Ten numbered frames tagged BT.709, as a phone writes them."""
    path = tmp_path_factory.mktemp("tagged") / "film.mp4"
    with ClipWriter(path, 640, 360, crf=5) as film:
        for i in range(10):
            film.add(numbered(i, 640, 360), i / 10)
        film.finish(1.0)
    return path


def rgb(frame: VideoFrame) -> NDArray[np.uint8]:
    frame.colorspace, frame.color_range = 1, 1
    return np.asarray(frame.to_ndarray(format="rgb24", src_colorspace="ITU709"), np.uint8)


@pytest.mark.parametrize("turn", [Turn(), Turn(1), Turn(2, True), Turn(3)])
@pytest.mark.parametrize("height", [360, 270, 150])
def test_both_ways_give_one_picture(tagged: Path, turn: Turn, height: int) -> None:
    with VideoFile.open(tagged) as film:
        size = clip_size(film, turn, height)
        quick = ClipFrames(film, size, turn)
        slow = ClipFrames(film, size, turn, paint=lambda image, _time_s: image)
        for i in (0, 7):
            one, two = rgb(quick.frame(i)), rgb(slow.frame(i))
            assert one.shape == two.shape == (size[1], size[0], 3)
            off = one.astype(int) - two
            # Through 8-bit RGB and back a picture loses about one level.
            assert np.abs(off.mean(axis=(0, 1))).max() < 1.5
            assert np.abs(off).mean() < 3.0
            if not turn.quarter_turns:
                assert number_in(one) == i


def test_what_is_hidden_is_hidden_on_either_way(tagged: Path) -> None:
    def veil(video_s: float) -> tuple[Patch, ...]:
        return (Patch(320.0, 180.0, 200.0, 200.0),) if video_s > 0.45 else ()

    with VideoFile.open(tagged) as plain, VideoFile.open(tagged, veil=veil) as film:
        shown, hidden = ClipFrames(plain, (480, 270)), ClipFrames(film, (480, 270))
        place = (slice(110, 160), slice(200, 280))

        def detail(frames: ClipFrames, i: int) -> float:
            return float(np.abs(np.diff(rgb(frames.frame(i))[place].astype(int), axis=1)).sum())

        assert detail(hidden, 2) == detail(shown, 2)
        assert rgb(hidden.frame(8))[place].tobytes() != rgb(shown.frame(8))[place].tobytes()
