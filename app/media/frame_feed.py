"""Frames in the order they are wanted, decoded as few times as can be."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from av.video.frame import VideoFrame

from app.media.video import VideoFile

# Frames kept for a picture that runs backwards; a key frame may lie seconds before each of them.
KEPT_BYTES: Final = 192 * 2**20


class FrameFeed:
    """Decodes ahead only forwards; for steps back it keeps what comes by on the way.

    Parameters
    ----------
    order : numbers of the frames that will be asked for, one after the other
    """

    def __init__(self, video: VideoFile, order: Sequence[int]) -> None:
        self._video = video
        self._order = order
        self._place = -1
        self._kept: dict[int, VideoFrame] = {}
        frame_bytes = max(1, video.width * video.height * 3 // 2)
        self._ahead = max(4, min(256, KEPT_BYTES // frame_bytes))

    def next(self) -> VideoFrame:
        """The next frame of the order; raises MediaError where the film is damaged."""
        self._place += 1
        i = self._order[self._place]
        soon = set(self._order[self._place : self._place + self._ahead])
        self._kept = {j: frame for j, frame in self._kept.items() if j in soon}
        if i in self._kept:
            return self._kept[i]

        def keep(j: int, frame: VideoFrame) -> bool:
            if j in soon and j < i:
                self._kept[j] = frame
            return True

        frame = self._video.decoded(i, keep)
        if i in self._order[self._place + 1 : self._place + self._ahead]:
            self._kept[i] = frame
        return frame
