"""From a decoded frame to pixels: colour, size, square pixels, upright."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import Any

import numpy as np
from av.video.frame import VideoFrame
from av.video.reformatter import VideoReformatter
from numpy.typing import NDArray

from app.media.dynamic_range import light_of, set_tags, tags_of, tone_mapped
from app.media.opencv import opencv
from app.media.orientation import Turn

# Planes that can be shrunk one by one, with the type of their numbers.
_PLANAR: dict[str, type[np.uint8] | type[np.uint16]] = {
    **{f"yuv{j}{s}p": np.uint8 for j in ("", "j") for s in ("420", "422", "444")},
    **{f"yuv{s}p{bits}le": np.uint16 for s in ("420", "422", "444") for bits in (10, 12)},
}

_ALIGN = 16


class Painter:
    """Turns decoded frames of one recording into pictures as they are meant to be seen.

    Matrix (BT.601, 709, 2020) and range (full, limited) are those each frame is tagged with;
    without a tag, BT.601 and limited, as FFmpeg takes them. High dynamic range is tone-mapped.

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
        self._to_grey = VideoReformatter()
        self._deep = VideoReformatter()
        self._wide = VideoReformatter()

    def stored_size(self, frame: VideoFrame) -> tuple[int, int]:
        """Width and height before turning, in square pixels."""
        return max(1, round(frame.width * self.pixel_shape)), frame.height

    def shown_size(self, frame: VideoFrame) -> tuple[int, int]:
        """Width and height as shown."""
        width, height = self.stored_size(frame)
        return (height, width) if self.turn.swaps_sides else (width, height)

    def rgb(self, frame: VideoFrame) -> NDArray[np.uint8]:
        """(H, W, 3) picture at full size, upright."""
        image = self._colours(_plain(frame), self._to_rgb, "BICUBIC")
        width, height = self.stored_size(frame)
        if (width, height) != (frame.width, frame.height):
            cv2 = opencv()
            image = cv2.resize(image, (width, height), interpolation=cv2.INTER_CUBIC)
        return self.turn.apply(image)

    def _colours(
        self, plain: SmallFrame, reformatter: VideoReformatter, how: str
    ) -> NDArray[np.uint8]:
        """(H, W, 3) RGB as an ordinary screen shows it, not turned yet."""
        light = light_of(plain.frame)
        if light is not None:
            return tone_mapped(plain.frame, light, self._wide)[:, : plain.width]
        packed = reformatter.reformat(plain.frame, format="rgb24", interpolation=how)
        return _pixels(packed, 3)[:, : plain.width]

    def grey(self, frame: VideoFrame) -> NDArray[np.uint8]:
        """(H, W) brightness at full size, upright, as it is stored: of limited range 16 to 235."""
        luma = luma_of(frame, self._to_grey)
        width, height = self.stored_size(frame)
        if (width, height) != (frame.width, frame.height):
            cv2 = opencv()
            luma = cv2.resize(luma, (width, height), interpolation=cv2.INTER_CUBIC)
        return self.turn.apply(luma[..., np.newaxis])[..., 0]

    def bgra(self, frame: VideoFrame, max_width: int, max_height: int) -> NDArray[np.uint8]:
        """(h, w, 4) picture that fits the box, upright; never larger than the recording."""
        return self.finish(self.small(frame, max_width, max_height))

    def small(self, frame: VideoFrame, max_width: int, max_height: int) -> SmallFrame:
        """The frame at display size, before turning and, where that is quicker, before colour.

        Shrinking the planes themselves is a third of the work of scaling the converted picture,
        and what comes out takes less than half the memory.
        """
        if self.turn.swaps_sides:
            max_width, max_height = max_height, max_width
        width, height = fit(*self.stored_size(frame), max_width, max_height)
        same = (width, height) == (frame.width, frame.height)
        if frame.format.name in _PLANAR:
            if same:
                return _plain(frame)
            if not (width % 2 or height % 2):
                return _shrink(frame, width, height)
        kind = "bgra" if light_of(frame) is None else "gbrp10le"
        shown = self._to_bgra.reformat(
            frame, width=width, height=height, format=kind, interpolation="AREA"
        )
        return SmallFrame(shown, width)

    def finish(self, small: SmallFrame) -> NDArray[np.uint8]:
        """A frame from `small` as an upright (h, w, 4) BGRA picture."""
        deep = _PLANAR.get(small.frame.format.name) is np.uint16  # straight to BGRA: too coarse
        if deep or light_of(small.frame) is not None:
            cv2 = opencv()
            image = self._colours(small, self._deep, "BILINEAR")
            return self.turn.apply(cv2.cvtColor(image, cv2.COLOR_RGB2BGRA))
        # On 8-bit planes at their own size this takes the library's quickest way, too.
        bgra = self._to_bgra.reformat(small.frame, format="bgra", interpolation="BICUBIC")
        return self.turn.apply(_pixels(bgra, 4)[:, : small.width])


@dataclass(frozen=True)
class SmallFrame:
    """A frame at display size that `Painter.finish` makes a picture of.

    Attributes
    ----------
    frame : its pixels, perhaps with columns to spare at the right
    width : how many columns count
    time_s : when it is shown, seconds from the first frame
    """

    frame: VideoFrame
    width: int
    time_s: float = 0.0

    @property
    def size_bytes(self) -> int:
        """Memory it holds."""
        return sum(plane.buffer_size for plane in self.frame.planes)


def luma_of(frame: VideoFrame, to_grey: VideoReformatter) -> NDArray[np.uint8]:
    """(H, W) brightness of a frame as stored, not upright; the frame's own memory where it can."""
    if not frame.format.name.startswith("yuv") or frame.format.components[0].bits != 8:
        frame = to_grey.reformat(frame, format="gray")
    plane = frame.planes[0]
    rows = np.frombuffer(memoryview(plane), np.uint8).reshape(-1, plane.line_size)
    return rows[: frame.height, : frame.width]


def _shrink(frame: VideoFrame, width: int, height: int) -> SmallFrame:
    cv2 = opencv()
    number = _PLANAR[frame.format.name]
    shrinks = width < frame.width and height < frame.height
    how = cv2.INTER_AREA if shrinks else cv2.INTER_LINEAR
    planes = [
        cv2.resize(plane, (_part(plane.shape[1], frame.width, width),
                           _part(plane.shape[0], frame.height, height)), interpolation=how)
        for plane in _planes(frame, number)
    ]  # fmt: skip
    return _assemble(frame, planes, width, height)


def _part(plane_side: int, side: int, new_side: int) -> int:
    """Side of a shrunk plane: the whole, or half of it rounded up."""
    return new_side if plane_side == side else (new_side + 1) // 2


def _plain(frame: VideoFrame) -> SmallFrame:
    """The frame without what would change or spoil its colours.

    FFmpeg's program does not look at where colour samples sit nor at fields when it makes RGB,
    and neither do the viewers people compare with.
    """
    number = _PLANAR.get(frame.format.name)
    whole_rows = frame.width % _ALIGN == 0 or not _goes_quick(frame)
    if number is None or (number is np.uint8 and whole_rows and not frame.interlaced_frame):
        return SmallFrame(frame, frame.width)
    return _assemble(frame, _planes(frame, number), frame.width, frame.height)


def _goes_quick(frame: VideoFrame) -> bool:
    """Whether the library makes RGB of it by tables, without stretching the colour planes."""
    return _PLANAR.get(frame.format.name) is np.uint8 and frame.height % 2 == 0


def _assemble(like: VideoFrame, planes: list[NDArray[Any]], width: int, height: int) -> SmallFrame:
    """A frame of these planes whose rows are long enough for the library's quick way.

    It leaves the last columns unwritten where a width is no multiple of eight.
    """
    padded = -(-width // _ALIGN) * _ALIGN
    frame = VideoFrame(width, height, like.format.name)
    if _goes_quick(frame) and padded != width:
        frame = VideoFrame(padded, height, like.format.name)
    for source, target in zip(planes, _planes(frame, _PLANAR[like.format.name]), strict=True):
        columns = source.shape[1]
        target[:, :columns] = source
        target[:, columns:] = source[:, -1:]
    set_tags(frame, tags_of(like))
    return SmallFrame(frame, width)


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


def _planes(frame: VideoFrame, number: type[np.uint8] | type[np.uint16]) -> list[NDArray[Any]]:
    size = np.dtype(number).itemsize
    return [
        np.frombuffer(memoryview(p), number).reshape(-1, p.line_size // size)[: p.height, : p.width]
        for p in frame.planes
    ]
