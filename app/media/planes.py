"""Pictures as the encoder takes them (8-bit 4:2:0 planes), turned, cut and laid together there.

Going to RGB and back costs more than the encoder's own share of a frame can bear; most of what
happens to a picture can be done to its planes.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from av.video.frame import VideoFrame
from av.video.reformatter import ColorRange, Colorspace, VideoReformatter
from numpy.typing import NDArray

from app.media.dynamic_range import light_of, tone_mapped
from app.media.opencv import opencv
from app.media.orientation import Turn

Plane = NDArray[np.uint8]
# Matrix numbers of ISO/IEC 23091-2: 1 is BT.709, 5 and 6 are BT.601, 2 says nothing, which FFmpeg
# and this program take for BT.601.
BT709: Final = 1
BT601: Final = 6
_OLD = (2, 5, 6)
_FULL_RANGE = 2


@dataclass(frozen=True)
class Planes:
    """Brightness (H, W) and two colours (H / 2, W / 2), limited range; H and W are even."""

    y: Plane
    u: Plane
    v: Plane

    @property
    def width(self) -> int:
        """Pixels across."""
        return int(self.y.shape[1])

    @property
    def height(self) -> int:
        """Pixels down."""
        return int(self.y.shape[0])

    def each(self) -> tuple[Plane, Plane, Plane]:
        """The three, brightness first."""
        return self.y, self.u, self.v


def matrix_of(frame: VideoFrame) -> int:
    """The matrix pictures of a recording are written with again: its own, or BT.709."""
    return BT601 if int(frame.colorspace) in _OLD else BT709


def planes_of(frame: VideoFrame, width: int, height: int, matrix: int) -> Planes:
    """The planes of a decoded frame, not turned yet.

    A frame of 8-bit 4:2:0 in the wanted matrix is taken as it is, high dynamic range is
    tone-mapped; anything else is converted in one step.

    Parameters
    ----------
    width, height : wanted size, both even; up to a pixel is cut off to get there, more is scaled
    """
    light = light_of(frame)
    if light is not None:
        frame = VideoFrame.from_ndarray(tone_mapped(frame, light, VideoReformatter()), "rgb24")
    same = int(frame.colorspace) in (_OLD if matrix == BT601 else (BT709,))
    limited = int(frame.color_range) != _FULL_RANGE
    if frame.format.name != "yuv420p" or not same or not limited:
        frame = frame.reformat(
            format="yuv420p",
            dst_colorspace=Colorspace.ITU601 if matrix == BT601 else Colorspace.ITU709,
            dst_color_range=ColorRange.MPEG,
            interpolation="BICUBIC",
        )
    planes = views(frame)
    if abs(frame.width - width) > 1 or abs(frame.height - height) > 1:
        return resized(Planes(*planes), width, height)
    y, u, v = planes
    half = (slice(height // 2), slice(width // 2))
    return Planes(y[:height, :width], u[half], v[half])


def views(frame: VideoFrame) -> tuple[Plane, Plane, Plane]:
    """The planes of a frame without their padding; writing into them writes the frame."""
    y, u, v = (
        np.frombuffer(memoryview(p), np.uint8).reshape(-1, p.line_size)[: p.height, : p.width]
        for p in frame.planes
    )
    return y, u, v


def turned(planes: Planes, turn: Turn) -> Planes:
    """Turn and mirror."""
    if not turn.quarter_turns % 4 and not turn.mirrored:
        return planes
    return Planes(*(_turned(plane, turn) for plane in planes.each()))


def _turned(plane: Plane, turn: Turn) -> Plane:
    result = np.rot90(plane, -turn.quarter_turns) if turn.quarter_turns % 4 else plane
    return np.ascontiguousarray(result[:, ::-1] if turn.mirrored else result)


def resized(planes: Planes, width: int, height: int) -> Planes:
    """Scale to a size, both sides even."""
    if (planes.width, planes.height) == (width, height):
        return planes
    cv2 = opencv()
    how = cv2.INTER_AREA if width < planes.width else cv2.INTER_CUBIC
    y, u, v = planes.each()
    half = (width // 2, height // 2)
    return Planes(
        cv2.resize(y, (width, height), interpolation=how),
        cv2.resize(u, half, interpolation=how),
        cv2.resize(v, half, interpolation=how),
    )


def zoomed(planes: Planes, factor: float, x: float, y: float) -> Planes:
    """The part seen when zoomed by a factor about a place (0-1), at the size of the whole."""
    if factor <= 1.0:
        return planes
    left, top, wide, high = zoom_box(planes.width, planes.height, factor, x, y)
    half = (slice(top // 2, (top + high) // 2), slice(left // 2, (left + wide) // 2))
    part = Planes(planes.y[top : top + high, left : left + wide], planes.u[half], planes.v[half])
    return resized(part, planes.width, planes.height)


def zoom_box(
    width: int, height: int, factor: float, x: float, y: float
) -> tuple[int, int, int, int]:
    """Left, top, width, height of what is seen, all even, within the picture."""
    wide, high = (max(2, round(side / factor / 2) * 2) for side in (width, height))
    left = min(max(round((x * width - wide / 2) / 2) * 2, 0), width - wide)
    top = min(max(round((y * height - high / 2) / 2) * 2, 0), height - high)
    return left, top, wide, high


def to_rgb(planes: Planes, matrix: int) -> NDArray[np.uint8]:
    """(H, W, 3) RGB."""
    frame = frame_of(planes, matrix)
    packed = frame.reformat(format="rgb24", interpolation="BICUBIC")
    plane = packed.planes[0]
    rows = np.frombuffer(memoryview(plane), np.uint8).reshape(-1, plane.line_size)
    return rows[: packed.height, : 3 * packed.width].reshape(packed.height, packed.width, 3)


def from_rgb(image: NDArray[np.uint8], matrix: int) -> Planes:
    """The planes of an (H, W, 3) RGB picture, both sides even."""
    frame = VideoFrame.from_ndarray(np.ascontiguousarray(image), format="rgb24").reformat(
        format="yuv420p",
        dst_colorspace=Colorspace.ITU601 if matrix == BT601 else Colorspace.ITU709,
        dst_color_range=ColorRange.MPEG,
        interpolation="BICUBIC",
    )
    return Planes(*(plane.copy() for plane in views(frame)))


def plain(width: int, height: int, rgb: tuple[int, int, int], matrix: int) -> Planes:
    """One colour."""
    return from_rgb(np.full((height, width, 3), rgb, np.uint8), matrix)


def frame_of(planes: Planes, matrix: int) -> VideoFrame:
    """A frame with a copy of the planes."""
    frame = VideoFrame(planes.width, planes.height, "yuv420p")
    for target, source in zip(views(frame), planes.each(), strict=True):
        target[:] = source
    frame.colorspace = 5 if matrix == BT601 else BT709
    frame.color_range = 1
    return frame


def lay(canvas: Planes, part: Planes, left: int, top: int) -> None:
    """Copy a part into a canvas that may be written; all places even."""
    for target, source, step in zip(canvas.each(), part.each(), (1, 2, 2), strict=True):
        high, wide = source.shape
        target[top // step : top // step + high, left // step : left // step + wide] = source
