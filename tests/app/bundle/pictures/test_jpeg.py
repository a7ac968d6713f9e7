"""Stills as JPEG, read back by another decoder than the one of the library that packed them."""

from __future__ import annotations

import io

import av
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from app.bundle.pictures.jpeg import jpeg, size_of
from app.bundle.pictures.quality import QUALITY
from tests.helpers.jpegs import jpeg_segments


def decoded(data: bytes) -> NDArray[np.uint8]:
    """(H, W, 3) RGB by FFmpeg."""
    with av.open(io.BytesIO(data), format="jpeg_pipe") as container:
        return next(container.decode(video=0)).to_ndarray(format="rgb24")


@given(st.integers(1, 90), st.integers(1, 90), st.sampled_from([84, 90, 92]))
@settings(max_examples=30, deadline=None)
def test_its_size_is_read_from_its_head(width: int, height: int, quality: int) -> None:
    data = jpeg(np.full((height, width, 3), 90, np.uint8), quality)
    assert size_of(data) == (width, height)
    assert decoded(data).shape == (height, width, 3)


@pytest.mark.parametrize("name", QUALITY)
def test_a_thin_coloured_line_keeps_its_colour(name: str) -> None:
    """Two pixels of a mark's red on a grey film: within a tenth of the range of each colour."""
    red = np.array([213, 94, 0])
    image = np.full((120, 160, 3), 120, np.uint8)
    image[40:42] = image[:, 75:77] = red
    data = jpeg(image, QUALITY[name].still_quality)
    seen = decoded(data).astype(int)
    assert np.abs(seen[41, 10:70] - red).max() < 26
    assert np.abs(seen[50:110, 75] - red).max() < 26
    # T.81, B.2.2: each component of the frame says how it is sampled; 0x11 is at full size.
    (frame,) = [content for code, content in jpeg_segments(data) if code == 0xC0]
    assert [frame[7 + 3 * i] for i in range(frame[5])] == [0x11] * 3


def test_the_same_picture_gives_the_same_bytes() -> None:
    image = np.random.default_rng(3).integers(0, 255, (64, 48, 3), np.uint8)
    assert jpeg(image, 90) == jpeg(image.copy(), 90)


@pytest.mark.parametrize("data", [b"", b"\xff\xd8", b"\x89PNG\r\n\x1a\n" + bytes(40)])
def test_what_is_no_jpeg_has_no_size(data: bytes) -> None:
    with pytest.raises(ValueError, match="not a JPEG"):
        size_of(data)
