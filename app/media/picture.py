"""From a decoded frame to pixels: colour, size, square pixels, upright."""

from __future__ import annotations

from fractions import Fraction

import numpy as np
from av.video.frame import VideoFrame
from av.video.reformatter import VideoReformatter
from numpy.typing import NDArray

from app.media.opencv import opencv
from app.media.orientation import Turn

_PLANAR_8BIT = frozenset({"yuv420p", "yuvj420p"})


class Painter:
    """Turns decoded frames of one recording into pictures as they are meant to be seen.

    Matrix (BT.601, 709, 2020) and range (full, limited) are those each frame is tagged with;
    without a tag, BT.601 and limited, as FFmpeg takes them.

    Parameters
    ----------
    turn : what makes the stored picture stand upright
    pixel_shape : width of one stored pixel over its height
    """

    def __init__(self, turn: Turn, pixel_shape: Fraction) -> None:
        self.turn = turn
        self.pixel_shape = pixel_shape
        self._to_rgb = VideoReformatter()
        self._to_bgra = VideoReformatter()

    def stored_size(self, frame: VideoFrame) -> tuple[int, int]:
        """Width and height before turning, in square pixels."""
        return max(1, round(frame.width * self.pixel_shape)), frame.height

    def shown_size(self, frame: VideoFrame) -> tuple[int, int]:
        """Width and height as shown."""
        width, height = self.stored_size(frame)
        return (height, width) if self.turn.swaps_sides else (width, height)

    def rgb(self, frame: VideoFrame) -> NDArray[np.uint8]:
        """(H, W, 3) picture at full size, upright."""
        image = _pixels(self._to_rgb.reformat(frame, format="rgb24", interpolation="BICUBIC"), 3)
        width, height = self.stored_size(frame)
        if (width, height) != (frame.width, frame.height):
            cv2 = opencv()
            image = cv2.resize(image, (width, height), interpolation=cv2.INTER_CUBIC)
        return self.turn.apply(image)

    def bgra(self, frame: VideoFrame, max_width: int, max_height: int) -> NDArray[np.uint8]:
        """(h, w, 4) picture that fits the box, upright; never larger than the recording."""
        return self.finish(self.small(frame, max_width, max_height))

    def small(self, frame: VideoFrame, max_width: int, max_height: int) -> VideoFrame:
        """The frame at display size, before turning and, where that is quicker, before colour.

        Shrinking the planes themselves is a third of the work of scaling the converted picture,
        and what comes out takes less than half the memory.
        """
        if self.turn.swaps_sides:
            max_width, max_height = max_height, max_width
        width, height = fit(*self.stored_size(frame), max_width, max_height)
        same = (width, height) == (frame.width, frame.height)
        if frame.format.name in _PLANAR_8BIT and (same or not (width % 2 or height % 2)):
            return _shrink(frame, width, height)
        return self._to_bgra.reformat(
            frame, width=width, height=height, format="bgra", interpolation="AREA"
        )

    def finish(self, small: VideoFrame) -> NDArray[np.uint8]:
        """A frame from `small` as an upright (h, w, 4) BGRA picture."""
        shown = self._to_bgra.reformat(small, format="bgra", interpolation="FAST_BILINEAR")
        return self.turn.apply(_pixels(shown, 4))


def _shrink(frame: VideoFrame, width: int, height: int) -> VideoFrame:
    if (width, height) == (frame.width, frame.height):
        return frame
    cv2 = opencv()
    shrinks = width < frame.width and height < frame.height
    how = cv2.INTER_AREA if shrinks else cv2.INTER_LINEAR
    small = VideoFrame(width, height, frame.format.name)
    for source, target in zip(_planes(frame), _planes(small), strict=True):
        cv2.resize(source, target.shape[::-1], dst=target, interpolation=how)
    small.colorspace = frame.colorspace
    small.color_range = frame.color_range
    return small


def bytes_of(frame: VideoFrame) -> int:
    """Memory a frame holds."""
    return sum(plane.buffer_size for plane in frame.planes)


def fit(width: int, height: int, max_width: int, max_height: int) -> tuple[int, int]:
    """Size of the largest picture of the same shape inside the box, never enlarged.

    Even numbers where it shrinks, which the quick path needs; at least 2 by 2.
    """
    scale = min(max_width / width, max_height / height, 1.0)
    if scale >= 1.0:
        return width, height
    return max(2, int(width * scale) // 2 * 2), max(2, int(height * scale) // 2 * 2)


def _pixels(frame: VideoFrame, channels: int) -> NDArray[np.uint8]:
    """View of a packed picture without its padding."""
    plane = frame.planes[0]
    rows = np.frombuffer(memoryview(plane), np.uint8).reshape(-1, plane.line_size)[: frame.height]
    return rows[:, : frame.width * channels].reshape(frame.height, frame.width, channels)


def _planes(frame: VideoFrame) -> list[NDArray[np.uint8]]:
    return [
        np.frombuffer(memoryview(p), np.uint8).reshape(-1, p.line_size)[: p.height, : p.width]
        for p in frame.planes
    ]
