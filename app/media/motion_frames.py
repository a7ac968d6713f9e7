"""Small grey frames at full frame rate, and how pixels move from one to the next."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import numpy as np
from av.video.frame import VideoFrame
from av.video.reformatter import VideoReformatter
from numpy.typing import NDArray

from app.media.errors import MediaError
from app.media.opencv import opencv
from app.media.orientation import Turn
from app.media.picture import luma_of
from app.media.video import VideoFile

# Enough for a hand of a few pixels; ten times quicker to follow than a full picture.
WIDTH, HEIGHT = 320, 180

GreyFrame = tuple[float, NDArray[np.uint8]]
Flow = Callable[[NDArray[np.uint8], NDArray[np.uint8]], NDArray[np.float32]]


def grey_frames(
    path: str | Path,
    cancelled: Callable[[], bool] | None = None,
    begin_s: float = 0.0,
    end_s: float = float("inf"),
) -> Iterator[GreyFrame]:
    """Yield every frame of a recording in order as presentation time and small grey picture.

    The pictures are upright, uint8, and fit `WIDTH` by `HEIGHT` (turned for upright ones).

    Parameters
    ----------
    cancelled : asked at every frame; True ends the frames there
    begin_s, end_s : the stretch of the recording that is wanted, video seconds

    Raises
    ------
    MediaError
        The recording cannot be read.
    """
    with VideoFile.open(path, cancelled=cancelled) as video:
        shrink = _Shrink(video.turn, video.width, video.height)
        first = video.index.at(begin_s)
        for i in range(first, len(video.index)):
            time_s = float(video.index.time_s[i])
            if time_s > end_s or (cancelled is not None and cancelled()):
                return
            try:
                frame = video._frame(i)
            except MediaError:
                if i == first:
                    raise
                return  # cut off there: what came before can still be lined up
            yield time_s, shrink(frame)


class _Shrink:
    """Brightness of decoded frames at small size, upright."""

    def __init__(self, turn: Turn, shown_width: int, shown_height: int) -> None:
        self._cv2: Any = opencv()
        self._turn = turn
        box = (WIDTH, HEIGHT) if shown_width >= shown_height else (HEIGHT, WIDTH)
        scale = min(box[0] / shown_width, box[1] / shown_height, 1.0)
        width = max(16, round(shown_width * scale))
        height = max(16, round(shown_height * scale))
        self._stored = (height, width) if turn.swaps_sides else (width, height)
        self._reformat = VideoReformatter()

    def __call__(self, frame: VideoFrame) -> NDArray[np.uint8]:
        luma = luma_of(frame, self._reformat)
        small = self._cv2.resize(luma, self._stored, interpolation=self._cv2.INTER_AREA)
        if self._turn == Turn():
            return np.asarray(small, np.uint8)
        return self._turn.apply(small[..., np.newaxis])[..., 0]


def optical_flow() -> Flow:
    """Give a function (before, after) -> (h, w, 2) float32 pixels moved, x to the right first.

    Dense inverse search (Kroeger, Timofte, Dai, Van Gool 2016, ECCV), in its quickest setting.
    """
    cv2 = opencv()
    finder = cv2.DISOpticalFlow_create(cv2.DISOPTICAL_FLOW_PRESET_ULTRAFAST)

    def flow(before: NDArray[np.uint8], after: NDArray[np.uint8]) -> NDArray[np.float32]:
        return np.asarray(finder.calc(before, after, None), np.float32)

    return flow
