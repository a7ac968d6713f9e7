"""What a decoder is told it must be able to do, against the standard's own examples."""

from __future__ import annotations

from pathlib import Path

import av
import numpy as np
import pytest

from app.media.encode import ClipWriter
from app.media.h264.level import level_of, rate_of


# ITU-T H.264 (08/2021), table A-6: the highest frame rates of common sizes by level.
@pytest.mark.parametrize(
    ("size", "fps", "level"),
    [
        ((320, 240), 36.0, 13),
        ((352, 288), 30.0, 13),
        ((720, 576), 25.0, 30),
        ((1280, 720), 30.0, 31),
        ((1280, 720), 60.0, 32),
        ((1920, 1080), 30.0, 40),
        ((1920, 1080), 60.0, 42),
        ((1280, 720), 240.0, 51),
        ((3840, 2160), 30.0, 51),
        ((3840, 2160), 60.0, 52),
    ],
)
def test_the_level_is_that_of_the_standard(size: tuple[int, int], fps: float, level: int) -> None:
    assert level_of(*size, fps) == level


@pytest.mark.parametrize(("fps", "level"), [(30.0, 13), (240.0, 31)])
def test_a_clip_states_it(tmp_path: Path, fps: float, level: int) -> None:
    """ISO/IEC 14496-15: the fourth byte of the decoder's configuration is the level."""
    with ClipWriter(tmp_path / "a.mp4", 320, 180, fps=fps) as clip:
        for i in range(3):
            clip.add(np.full((180, 320, 3), 40 * i, np.uint8), i / fps)
        clip.finish(3 / fps)
    with av.open(str(tmp_path / "a.mp4")) as file:
        extradata = file.streams.video[0].codec_context.extradata
    assert extradata is not None and extradata[3] == level


def test_the_rate_is_the_usual_one() -> None:
    times = np.array([0.0, 0.02, 0.04, 0.3, 0.32])
    assert rate_of(times) == pytest.approx(50.0)
    assert rate_of(times[:1]) == 30.0
