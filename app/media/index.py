"""When each frame of a recording is shown, read without decoding it."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from fractions import Fraction
from functools import cached_property
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from app.media.errors import MediaError
from app.media.source import Source, open_source

# A time that went through text or another clock comes back a few microseconds off; it still
# means the frame it was made from.
_SNAP_S = 1e-5
_PROGRESS_EVERY = 256


@dataclass(frozen=True)
class FrameIndex:
    """The presentation times of every shown frame, in order of presentation.

    Attributes
    ----------
    time_s : (N,) float64, seconds from the first shown frame (the first is 0.0), increasing
    pts : (N,) int64, the container's own timestamps in units of `time_base`, increasing
    key : (N,) bool, decoding can start here
    time_base : seconds of one unit of `pts`
    end_s : when the last frame stops being shown
    seek_pts : (K,) int64, timestamps of all packets decoding can start from; some of them may
        not be shown (a clip trimmed between two of them starts with one)
    origin_s : when the first shown frame stands on the recording's own timeline, which is where
        its sound stands too
    """

    time_s: NDArray[np.float64]
    pts: NDArray[np.int64]
    key: NDArray[np.bool_]
    time_base: Fraction
    end_s: float
    seek_pts: NDArray[np.int64] = field(default_factory=lambda: np.empty(0, np.int64))
    origin_s: float = 0.0

    def __len__(self) -> int:
        return len(self.pts)

    @cached_property
    def _snap_s(self) -> float:
        if len(self.time_s) < 2:
            return _SNAP_S
        return min(_SNAP_S, float(np.diff(self.time_s).min()) / 4)

    def at(self, time_s: float) -> int:
        """Index of the frame whose presentation interval holds `time_s`.

        Before the first frame it is the first, after the last the last; a time not a number is
        the first. A time made from frame k gives k again, also after rounding to microseconds.
        """
        if not time_s >= 0:
            return 0
        i = int(np.searchsorted(self.time_s, time_s + self._snap_s, side="right")) - 1
        return min(max(i, 0), len(self.time_s) - 1)

    def key_before(self, i: int) -> int:
        """Timestamp of the packet where decoding starts to reach frame `i`."""
        k = int(np.searchsorted(self.seek_pts, self.pts[i], side="right")) - 1
        return int(self.seek_pts[k]) if k >= 0 else int(self.pts[0])


@dataclass(frozen=True)
class _Packet:
    pts: int
    duration: int
    key: bool
    shown: bool


def read_index(
    path: str | Path,
    progress: Callable[[float], None] | None = None,
    cancelled: Callable[[], bool] | None = None,
) -> FrameIndex:
    """Read the presentation times of a recording by walking its packets.

    Parameters
    ----------
    path : the recording
    progress : called with a share from 0 to 1
    cancelled : asked now and then; True stops with a MediaError

    Raises
    ------
    MediaError
        The file cannot be used.
    """
    with open_source(path) as source:
        return index_of(source, progress, cancelled)


def index_of(
    source: Source,
    progress: Callable[[float], None] | None = None,
    cancelled: Callable[[], bool] | None = None,
) -> FrameIndex:
    """The same for an open source, which is left at an unspecified position."""
    packets = list(_walk(source, progress, cancelled))
    index = build_index(packets, source.time_base, source.typical_step)
    if not len(index):
        raise MediaError(f"{source.name} holds no picture that can be shown.")
    return index


def _walk(
    source: Source,
    progress: Callable[[float], None] | None,
    cancelled: Callable[[], bool] | None,
) -> Iterable[_Packet]:
    started = False
    for n, packet in enumerate(source.packets()):
        if n % _PROGRESS_EVERY == 0:
            if cancelled is not None and cancelled():
                raise MediaError(f"Reading {source.name} was stopped.")
            if progress is not None:
                progress(source.share_read(packet))
        if packet.pts is None:
            continue
        # A recording cut in the middle of a group starts with packets nothing can decode.
        started = started or packet.is_keyframe
        if started:
            shown = not packet.is_discard and not source.hidden(packet)
            yield _Packet(packet.pts, packet.duration or 0, packet.is_keyframe, shown)
    if progress is not None:
        progress(1.0)


def build_index(packets: list[_Packet], time_base: Fraction, typical_step: int) -> FrameIndex:
    """Put packets in order of presentation; of two with one timestamp the later one is shown."""
    keys = sorted({p.pts for p in packets if p.key})
    shown = {p.pts: p for p in packets if p.shown}
    order = [shown[pts] for pts in sorted(shown)]
    pts = np.array([p.pts for p in order], np.int64)
    unit_s = float(time_base)
    time_s = (
        (pts - pts[0]).astype(np.float64) * time_base.numerator / time_base.denominator
        if len(pts)
        else np.empty(0)
    )
    end_s = 0.0
    if order:
        last = order[-1].duration
        usual = int(np.median(np.diff(pts))) if len(pts) > 1 else typical_step
        if last <= usual // 10:  # unknown, or the one tick some writers put there
            last = usual
        end_s = float(time_s[-1]) + max(last, 1) * unit_s
    return FrameIndex(
        time_s=time_s,
        pts=pts,
        key=np.array([p.key for p in order], np.bool_),
        time_base=time_base,
        end_s=end_s,
        seek_pts=np.array(keys, np.int64),
    )
