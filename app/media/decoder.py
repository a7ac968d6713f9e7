"""From a frame's number to its decoded picture, whatever stands between."""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Iterator

import numpy as np
from av.error import FFmpegError
from av.packet import Packet
from av.video.frame import VideoFrame

from app.media.errors import MediaError
from app.media.index import FrameIndex
from app.media.source import Source

# Decoding on over this many frames is cheaper than a seek, even past a key frame.
_READ_ON = 4
_NEVER = -(2**62)


# Called with each frame decoded on the way to the wanted one; False stops the decoding there.
Passing = Callable[[int, VideoFrame], bool]


class Interrupted(Exception):
    """Decoding stopped on request; `at` is the last frame that came out."""

    def __init__(self, at: int) -> None:
        super().__init__(at)
        self.at = at


class FrameReader:
    """Decodes frames of one source by number; every landing is checked by its timestamp."""

    def __init__(self, source: Source, index: FrameIndex) -> None:
        self._source = source
        self._index = index
        self._packets: Iterator[Packet] = iter(())
        self._ready: deque[VideoFrame] = deque()
        self._at = -1  # the number of the newest frame taken out, -1 when a seek is needed
        self._flushed = True
        self._last: tuple[int, VideoFrame] | None = None
        self._passing: Passing | None = None
        self._recent: deque[tuple[int, VideoFrame]] = deque(maxlen=0)
        # Timestamps: what could not be decoded rightly, what is made from it, the newest key frame.
        self._lost: set[int] = set()
        self._spoilt: set[int] = set()
        self._key_pts = _NEVER
        self.damaged: set[int] = set()
        # Only there does no picture lean on one that says so of itself, whatever its layer.
        self._leaves_out = source.stream.codec_context.name == "h264"
        self._wanted_pts = _NEVER
        self.seeks = 0
        self.decoded = 0

    def frame(self, i: int, passing: Passing | None = None) -> VideoFrame:
        """Frame `i` as decoded; a frame the decoder cannot give is replaced by its neighbour.

        Such frames are noted in `damaged`.

        Raises
        ------
        Interrupted
            `passing` said so; asking for a later frame goes on from there.
        MediaError
            Nothing near the frame can be decoded, or the file is gone.
        """
        if self._last is not None and self._last[0] == i:
            return self._last[1]
        kept = self._kept(i)
        if kept is not None:
            return kept
        self._passing = passing
        found = self._read_on(i) if self._can_read_on(i) else None
        if found is None:
            found = self._from_key(i)
        if i in self.damaged and self._leaves_out:
            # Perhaps a decoder that could not tell their order without what was left out.
            self._leaves_out = False
            found = self._from_key(i)
        self._last = (i, found)
        self._recent.append(self._last)
        return found

    def keep_recent(self, frames: int) -> None:
        """Keep this many of the frames that were asked for, so that asking again costs nothing."""
        self._recent = deque(self._recent, maxlen=frames)

    def _kept(self, i: int) -> VideoFrame | None:
        return next((frame for j, frame in self._recent if j == i), None)

    def frames_to(self, i: int) -> int:
        """How many frames have to be decoded to give frame `i`."""
        if (self._last is not None and self._last[0] == i) or self._kept(i) is not None:
            return 0
        if self._can_read_on(i):
            return i - self._at
        key = int(np.searchsorted(self._index.pts, self._index.key_before(i)))
        return i - min(key, i) + 1

    def _can_read_on(self, i: int) -> bool:
        if self._at < 0 or i <= self._at:
            return False
        here = int(self._index.pts[self._at])
        return self._index.key_before(i) <= here or i - self._at <= _READ_ON

    def _from_key(self, i: int) -> VideoFrame:
        starts = self._index.seek_pts
        first = int(np.searchsorted(starts, self._index.pts[i], side="right")) - 1
        # The nearest start serves nearly always; a gradual refresh needs an earlier one.
        for k in dict.fromkeys((first, first - 1, first - 2)):
            if k >= 0 and self._seek(int(starts[k])):
                found = self._read_on(i)
                if found is not None:
                    return found
        if self._rewind():
            found = self._read_on(i, or_next=True)
            if found is not None:
                return found
        raise MediaError(
            f"{self._source.name} can no longer be read at {self._index.time_s[i]:.2f} s: "
            "the file is damaged there, or was moved or unplugged."
        )

    def _seek(self, pts: int) -> bool:
        """Stand at the start `pts`; False when the container lands after it."""
        self.seeks += 1
        self._reset()
        try:
            self._source.container.seek(pts, backward=True, stream=self._source.stream)
        except (FFmpegError, OSError):
            return False
        packets = self._source.packets()
        first = next((p for p in packets if p.pts is not None), None)
        if first is None or first.pts is None or first.pts > pts:
            return False
        self._packets = _chain(first, packets)
        return True

    def _rewind(self) -> bool:
        """Open again and stand at the very start."""
        self._reset()
        try:
            self._source.reopen()
        except MediaError:
            return False
        self._packets = self._source.packets()
        return True

    def _reset(self) -> None:
        self._ready.clear()
        self._at = -1
        self._flushed = False
        self._last = None
        self._lost.clear()
        self._key_pts = _NEVER

    def _read_on(self, i: int, or_next: bool = False) -> VideoFrame | None:
        """Decode forward to frame `i`, or to the nearest before it where it is damaged.

        None when everything decoded lies after it; with `or_next` the first of those instead.
        """
        target = int(self._index.pts[i])
        self._wanted_pts = target if self._leaves_out and self._passing is None else _NEVER
        before: VideoFrame | None = None
        while (frame := self._next()) is not None:
            pts = frame.pts
            if pts is None:
                continue
            if pts == target:
                self._at = i
                self.damaged.discard(i)
                if frame.is_corrupt or pts in self._spoilt:
                    self.damaged.add(i)
                return frame
            if pts > target:
                self._ready.appendleft(frame)  # it is the next frame still
                break
            before = frame
            self._pass_by(pts, frame)
        self._source.check_whole()
        if before is None and or_next and self._ready:
            before = self._ready[0]
        if before is not None:
            self.damaged.add(i)
            self._at = i
        return before

    def _pass_by(self, pts: int, frame: VideoFrame) -> None:
        if self._passing is None:
            return
        j = int(np.searchsorted(self._index.pts, pts))
        if j < len(self._index) and self._index.pts[j] == pts and not self._passing(j, frame):
            self._at = j
            self._last = (j, frame)
            raise Interrupted(j)

    def _next(self) -> VideoFrame | None:
        while not self._ready:
            if self._flushed:
                return None
            packet = next(self._packets, None)
            self._flushed = packet is None
            context = self._source.stream.codec_context
            if packet is not None and packet.pts is not None:
                # On the way to the wanted frame, what no other leans on need not be decoded.
                on_the_way = packet.pts < self._wanted_pts
                context.skip_frame = "NONREF" if on_the_way else "DEFAULT"
            try:
                frames = context.decode(packet)
            except FFmpegError:  # a damaged packet; what follows may be whole
                if packet is not None and packet.pts is not None:
                    self._lost.add(packet.pts)
                continue
            for frame in frames:
                self._note(frame)
            self._ready.extend(frames)
            self.decoded += len(frames)
        return self._ready.popleft()

    def _note(self, frame: VideoFrame) -> None:
        """Remember a frame made from a damaged one: no decoder says so of it."""
        pts = frame.pts
        if pts is None:
            return
        self._spoilt.discard(pts)
        if frame.is_corrupt:
            self._lost.add(pts)
        elif frame.key_frame:
            # Leading frames of an open group are lost after every seek; nothing leans on them.
            self._key_pts = pts
            self._lost = {lost for lost in self._lost if lost > pts}
        # Without further key frames (gradual refresh) a picture mends itself, unmarked.
        if len(self._index.seek_pts) > 1 and any(
            self._key_pts <= lost <= pts for lost in self._lost
        ):
            self._spoilt.add(pts)


def _chain(first: Packet, rest: Iterator[Packet]) -> Iterator[Packet]:
    yield first
    yield from rest
