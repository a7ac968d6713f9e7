"""The child process that makes a quick copy; see `proxy`.

It reads what to do from its input, writes records to its output, and ends when either closes.
"""

from __future__ import annotations

import os
import pickle
import sys
from collections.abc import Callable, Iterator
from fractions import Fraction
from typing import BinaryIO

import av
from av.error import FFmpegError
from av.video.codeccontext import VideoCodecContext
from av.video.frame import VideoFrame

from app.media.dynamic_range import tags_of
from app.media.errors import MediaError
from app.media.picture import SmallFrame
from app.media.proxy import BOX, RECORD, group_starts
from app.media.video import VideoFile

# The encoder takes these as they are; any other kind of picture gets no copy.
_KINDS = frozenset(
    {"yuv420p", "yuvj420p", "yuv422p", "yuvj422p", "yuv444p", "yuvj444p",
     "yuv420p10le", "yuv422p10le", "yuv444p10le"}
)  # fmt: skip
_QUALITY = {
    "preset": "ultrafast",
    "tune": "zerolatency,fastdecode",
    "crf": "25",
    "x264-params": "keyint=1:repeat-headers=1:annexb=1:threads=1:log-level=none",
}


def main() -> None:
    """Make the copy asked for on the input, as far as somebody takes it."""
    _step_back()
    asked, records = sys.stdin.buffer, sys.stdout.buffer
    try:
        path, index = pickle.load(asked)
    except EOFError:
        return
    try:
        with VideoFile.open(path, index=index) as video:
            copy(video, lambda: _hand(asked, records), records)
    except (MediaError, FFmpegError, OSError):
        return  # what was copied serves; the rest comes from the recording


def _step_back() -> None:
    """Leave the time to others; idle priority would starve beside any other busy program."""
    if hasattr(os, "nice"):
        os.nice(10)


def _hand(asked: BinaryIO, records: BinaryIO) -> int:
    """Where the hand is now."""
    records.write(RECORD.pack(0, 0, 0, 0, 0, 0, 0))
    records.flush()
    line = asked.readline()
    if not line:
        raise BrokenPipeError
    return int(line)


def copy(video: VideoFile, hand: Callable[[], int], records: BinaryIO) -> None:
    """Write a record for each frame, group by group, the nearest to the hand first."""
    encoder: VideoCodecContext | None = None
    for group in _nearest_first(video, hand):
        for i in group:
            small = video.small(i, *BOX)
            if video.is_damaged(i):
                continue
            if small.frame.format.name not in _KINDS:
                return
            encoder = encoder or _encoder(small.frame)
            if (encoder.width, encoder.height) != (small.frame.width, small.frame.height):
                continue  # the size changes within the recording
            data = encoded(encoder, small.frame, i)
            records.write(_head(i, small, len(data)) + data)
        records.flush()


def _nearest_first(video: VideoFile, hand: Callable[[], int]) -> Iterator[range]:
    starts = group_starts(video)
    left = [range(a, b) for a, b in zip(starts, [*starts[1:], len(video.index)], strict=True)]
    while left:
        here = hand()
        nearest = min(left, key=lambda group: max(group.start - here, here - group.stop + 1, 0))
        left.remove(nearest)
        yield nearest


def _encoder(frame: VideoFrame) -> VideoCodecContext:
    encoder = av.CodecContext.create("libx264", "w")
    assert isinstance(encoder, VideoCodecContext)
    encoder.width, encoder.height, encoder.pix_fmt = frame.width, frame.height, frame.format.name
    encoder.time_base = Fraction(1, 1000)
    encoder.options = _QUALITY
    return encoder


def encoded(encoder: VideoCodecContext, frame: VideoFrame, i: int) -> bytes:
    """One frame as one packet that needs no other."""
    frame.pts, frame.time_base = i, Fraction(1, 1000)
    return b"".join(bytes(packet) for packet in encoder.encode(frame))


def _head(i: int, small: SmallFrame, size: int) -> bytes:
    return RECORD.pack(i, small.width, *tags_of(small.frame), size)


if __name__ == "__main__":
    main()
