"""Frames of a recording as a clip's encoder takes them: small, upright, 4:2:0 in BT.709.

Most frames need nothing but a smaller size, which their planes are given before anything else;
going to RGB and back, at the recording's own size, would cost more than the encoding itself.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

import numpy as np
from av.video.frame import VideoFrame
from av.video.reformatter import ColorRange, Colorspace, VideoReformatter
from numpy.typing import NDArray

from app.media.dynamic_range import light_of
from app.media.light import lifted
from app.media.opencv import opencv
from app.media.orientation import Turn
from app.media.picture import SmallFrame
from app.media.video import VideoFile

Plane = NDArray[np.uint8]
Paint = Callable[[NDArray[np.uint8], float], NDArray[np.uint8]]
# Numbers of ISO/IEC 23091-2: matrix 1 is BT.709; range 2 is full, all else is taken for limited.
_BT709: Final = 1
_FULL_RANGE: Final = 2


def clip_size(video: VideoFile, turn: Turn, max_height: int) -> tuple[int, int]:
    """Width and height of a clip of a recording: even, never enlarged, `max_height` at most."""
    width, height = video.width, video.height
    if turn.swaps_sides:
        width, height = height, width
    scale = min(1.0, max_height / height)
    return max(2, round(width * scale / 2) * 2), max(2, round(height * scale / 2) * 2)


class ClipFrames:
    """Gives the frames of an open recording, ready for `ClipWriter.add_frame`.

    Parameters
    ----------
    size : width and height of the clip, both even
    turn : a further turn, then mirror, on top of upright
    lift : how far dark parts are raised, see `app.media.light`
    paint : draws over the upright, turned RGB picture of a time in the recording
    painted : whether `paint` draws anything at a time; None where it always may
    """

    def __init__(
        self,
        video: VideoFile,
        size: tuple[int, int],
        turn: Turn = Turn(),  # noqa: B008 - frozen
        lift: float = 0.0,
        paint: Paint | None = None,
        painted: Callable[[float], bool] | None = None,
    ) -> None:
        self._video, self._size, self._turn, self._lift = video, size, turn, lift
        self._paint, self._painted = paint, painted
        # Before the coach's turn, which may swap the sides.
        self._box = (size[1], size[0]) if turn.swaps_sides else size
        self._upright = video.turn.then(turn)
        self._reformatter = VideoReformatter()

    def frame(self, i: int) -> VideoFrame:
        """Frame `i`, in memory of its own.

        Raises
        ------
        MediaError
            The recording is damaged there.
        """
        video = self._video
        whole = video.small(i, video.width, video.height)
        if self._needs_rgb(whole, i):
            return to_yuv(self._rgb(video.small(i, *self._box), i), self._reformatter)
        planes = _planes(whole.frame)
        cut = (planes[0][:, : whole.width], *(p[:, : whole.width // 2] for p in planes[1:]))
        size = self._size[::-1] if self._upright.swaps_sides else self._size
        if self._upright == Turn():
            frame = VideoFrame(*size, "yuv420p")
            _shrunk(cut, *size, into=_planes(frame))
            return frame
        shrunk = _shrunk(cut, *size)
        return _assembled([_turned(plane, self._upright) for plane in shrunk])

    def are_as_stored(self, first: int, last: int) -> bool:
        """Whether frames come out as they are stored, colours, size and all, from one to another.

        Of each it is asked what is done to it; how it is stored is that of the first.
        """
        video = self._video
        if self._lift > 0.0 or self._upright != Turn() or not video.is_as_first(first):
            return False
        whole = video.small(first, video.width, video.height)
        stored = (whole.width, whole.frame.height)
        if stored != self._size or self._needs_rgb(whole, first):
            return False
        painted, times = self._painted, video.index.time_s[first : last + 1]
        if self._paint is not None and (painted is None or any(map(painted, times.tolist()))):
            return False
        return not any(video.hides(i) for i in range(first, last + 1))

    def _needs_rgb(self, whole: SmallFrame, i: int) -> bool:
        size = (whole.width, whole.frame.height)
        if self._video.turn.swaps_sides:
            size = (size[1], size[0])
        # Straight from one matrix or range to another, the library is two levels too dark.
        plain = size == (self._video.width, self._video.height) and _is_as_written(whole.frame)
        if not plain or whole.width % 2 or whole.frame.height % 2:
            return True
        if self._lift > 0.0 or self._video.hides(i) or not self._video.is_as_first(i):
            return True
        return self._paint is not None and (self._painted is None or self._painted(whole.time_s))

    def _rgb(self, small: SmallFrame, i: int) -> NDArray[np.uint8]:
        """The picture with all that is done to it."""
        cv2 = opencv()
        whole = (small.width, small.frame.height) == (self._video.width, self._video.height)
        if whole or not self._video.is_as_first(i):
            image = self._video.frame_rgb(i)
        else:
            image = cv2.cvtColor(self._video.finish(small), cv2.COLOR_BGRA2RGB)
        image = self._turn.apply(image)
        if (image.shape[1], image.shape[0]) != self._size:
            image = cv2.resize(image, self._size, interpolation=cv2.INTER_AREA)
        image = lifted(image, self._lift)
        return image if self._paint is None else self._paint(image, small.time_s)


def _is_as_written(frame: VideoFrame) -> bool:
    """Whether a frame's planes are those of a clip: 8-bit 4:2:0, BT.709, limited, not HDR."""
    tagged = int(frame.colorspace) == _BT709 and int(frame.color_range) != _FULL_RANGE
    return frame.format.name == "yuv420p" and tagged and light_of(frame) is None


def to_yuv(image: NDArray[np.uint8], reformatter: VideoReformatter | None = None) -> VideoFrame:
    """Turn an (H, W, 3) RGB picture of even sides into a frame for the encoder."""
    rgb = VideoFrame.from_ndarray(np.ascontiguousarray(image), format="rgb24")
    return (reformatter or VideoReformatter()).reformat(
        rgb,
        format="yuv420p",
        dst_colorspace=Colorspace.ITU709,
        dst_color_range=ColorRange.MPEG,
        interpolation="BICUBIC",
    )


def _planes(frame: VideoFrame) -> list[Plane]:
    """Views of the planes without their padding; writing into them writes the frame."""
    return [
        np.frombuffer(memoryview(p), np.uint8).reshape(-1, p.line_size)[: p.height, : p.width]
        for p in frame.planes
    ]


def _shrunk(
    planes: tuple[Plane, ...], width: int, height: int, into: list[Plane] | None = None
) -> list[Plane]:
    """Planes of a 4:2:0 frame at a smaller size, not yet turned; in `into` where that is given."""
    if planes[0].shape == (height, width):
        for plane, target in zip(planes, into or planes, strict=True):
            target[:] = plane
        return into or list(planes)
    cv2 = opencv()
    # Four neighbours see every pixel down to half; what is to be smaller is halved first, which is
    # a tenth of the work of averaging in one step.
    while planes[0].shape[0] >= 2 * height and all(_can_halve(p) for p in planes):
        halves = [cv2.resize(p, _half(p), interpolation=cv2.INTER_AREA) for p in planes]
        planes = (halves[0], *halves[1:])
    close = 2 * height > planes[0].shape[0]
    how = cv2.INTER_LINEAR if close else cv2.INTER_AREA
    sizes = ((width, height), (width // 2, height // 2), (width // 2, height // 2))
    targets = into or (None, None, None)
    return [
        cv2.resize(plane, size, dst, interpolation=how)
        for plane, size, dst in zip(planes, sizes, targets, strict=True)
    ]


def _can_halve(plane: Plane) -> bool:
    return plane.shape[0] % 2 == 0 and plane.shape[1] % 2 == 0


def _half(plane: Plane) -> tuple[int, int]:
    """Width and height of half of a plane."""
    return plane.shape[1] // 2, plane.shape[0] // 2


def _turned(plane: Plane, turn: Turn) -> Plane:
    turned = np.rot90(plane, -turn.quarter_turns) if turn.quarter_turns % 4 else plane
    return turned[:, ::-1] if turn.mirrored else turned


def _assembled(planes: list[Plane]) -> VideoFrame:
    """A frame of its own: the decoder's would bring along what kind of frame it was there."""
    height, width = planes[0].shape
    frame = VideoFrame(width, height, "yuv420p")
    for target, source in zip(_planes(frame), planes, strict=True):
        target[:] = source
    return frame
