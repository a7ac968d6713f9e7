"""When each frame of a recording is shown, read without decoding it."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field, replace
from fractions import Fraction
from pathlib import Path

import numpy as np
from av.error import FFmpegError
from numpy.typing import NDArray

from app.media.errors import MediaError
from app.media.repack import open_steppable
from app.media.source import Source, open_container, packets_of

# A time that went through text or another clock comes back a few microseconds off; it still
# means the frame it was made from.
_SNAP_S = 1e-5
_PROGRESS_EVERY = 256


@dataclass(frozen=True)
class FrameIndex:
    """The presentation times of every shown frame, in order of presentation.

    Attributes
    ----------
    time_s : (N,) float64, seconds from the first shown frame (the first is 0.0 unless it was
        `moved` to another clock), increasing
    pts : (N,) int64, the container's own timestamps in units of `time_base`, increasing
    key : (N,) bool, decoding can start here
    time_base : seconds of one unit of `pts`
    end_s : when the last frame stops being shown
    seek_pts : (K,) int64, timestamps of all packets decoding can start from; some of them may
        not be shown (a clip trimmed between two of them starts with one)
    origin_s : where zero of `time_s` stands on the recording's own timeline, which is where its
        sound stands too
    gaps : (from, until) of spans between two frames that no recording shows; none within one
    """

    time_s: NDArray[np.float64]
    pts: NDArray[np.int64]
    key: NDArray[np.bool_]
    time_base: Fraction
    end_s: float
    seek_pts: NDArray[np.int64] = field(default_factory=lambda: np.empty(0, np.int64))
    origin_s: float = 0.0
    gaps: tuple[tuple[float, float], ...] = ()
    # Worked out once and not at first use: the index goes to other processes from one thread while
    # others ask it.
    _snap_s: float = field(init=False, repr=False, compare=False, default=_SNAP_S)

    def __post_init__(self) -> None:
        if len(self.time_s) > 1:
            least_s = float(np.diff(self.time_s).min())
            object.__setattr__(self, "_snap_s", min(_SNAP_S, least_s / 4))

    def __len__(self) -> int:
        return len(self.pts)

    def at(self, time_s: float) -> int:
        """Index of the frame whose presentation interval holds `time_s`.

        Before the first frame it is the first, after the last the last; a time not a number is
        the first. A time made from frame k gives k again, also after rounding to microseconds.
        """
        if not time_s >= self.start_s:
            return 0
        i = int(np.searchsorted(self.time_s, time_s + self._snap_s, side="right")) - 1
        return min(max(i, 0), len(self.time_s) - 1)

    @property
    def start_s(self) -> float:
        """When the first frame is shown: 0 for a recording on its own clock."""
        return float(self.time_s[0]) if len(self.time_s) else 0.0

    @property
    def spans(self) -> tuple[tuple[float, float], ...]:
        """From when until when recordings run, without a gap between."""
        edges = [self.start_s, *(edge for gap in self.gaps for edge in gap), self.end_s]
        return tuple(zip(edges[::2], edges[1::2], strict=True))

    def holds(self, time_s: float) -> bool:
        """Whether a frame is on screen at a time."""
        return self.start_s <= time_s < self.end_s and self.gap_at(time_s) is None

    def gap_at(self, time_s: float) -> tuple[float, float] | None:
        """The span between two recordings a time lies in, None where it lies in none."""
        return next((g for g in self.gaps if g[0] <= time_s < g[1] - self._snap_s), None)

    def key_before(self, i: int) -> int:
        """Timestamp of the packet where decoding starts to reach frame `i`."""
        k = int(np.searchsorted(self.seek_pts, self.pts[i], side="right")) - 1
        return int(self.seek_pts[k]) if k >= 0 else int(self.pts[0])


def rate_of(index: FrameIndex) -> float:
    """Median frame rate; containers that round to milliseconds are averaged around it."""
    steps = np.diff(index.time_s)
    if not len(steps):
        return 1.0 / index.end_s
    typical = float(np.median(steps))
    slack = 0.1 * typical + float(index.time_base)
    return 1.0 / float(steps[np.abs(steps - typical) <= slack].mean())


def in_real_seconds(index: FrameIndex, fps: float, capture_fps: float) -> FrameIndex:
    """Index of a slow-motion recording on the clock of the real movement.

    Parameters
    ----------
    fps : rate the file plays at
    capture_fps : rate it was recorded at; frames then stand fps / capture_fps as far apart

    Raises
    ------
    MediaError
        A rate is not above zero.
    """
    if not (fps > 0 and capture_fps > 0):
        raise MediaError("A frame rate must be above zero.")
    scale = fps / capture_fps
    return replace(
        index, time_s=index.time_s * scale, end_s=index.end_s * scale, origin_s=index.origin_s
    )


def moved(index: FrameIndex, starts_s: float) -> FrameIndex:
    """Index of a recording on a clock at whose `starts_s` its first shown frame stands."""
    return replace(
        index,
        time_s=index.time_s + starts_s,
        end_s=index.end_s + starts_s,
        origin_s=index.origin_s - starts_s,
    )


@dataclass(frozen=True)
class PacketTimes:
    """What a packet says of its frame, in units of the stream's time base."""

    pts: int
    position: int  # in the file, or -1
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
    with open_steppable(path) as source:
        return index_of(source, progress, cancelled)


def index_of(
    source: Source,
    progress: Callable[[float], None] | None = None,
    cancelled: Callable[[], bool] | None = None,
) -> FrameIndex:
    """The same for an open source, which is left at an unspecified position."""
    packets = list(_walk(source, progress, cancelled))
    lost = _lost_lead(source, packets)
    packets = [p for p in packets if p.pts not in lost]
    if not any(p.shown for p in packets):
        raise MediaError(f"{source.name} holds no picture that can be shown.")
    return build_index(packets, source.time_base, source.typical_step, _origin(source, packets))


def _lost_lead(source: Source, packets: list[PacketTimes]) -> set[int]:
    """Timestamps of leading frames nothing can decode.

    A recording cut at an open group starts with a key frame and then frames shown before it that
    lean on what was cut away. Which of them come out is for the decoder to say.
    """
    first = next((p.pts for p in packets if p.key), None)
    lead = {p.pts for p in packets if first is not None and p.pts < first and p.shown}
    if first is None or not lead or packets[0].pts != first:
        return set()
    source.rewind()
    out: set[int] = set()
    for packet in source.packets():
        try:
            out |= {f.pts for f in source.stream.codec_context.decode(packet) if f.pts is not None}
        except FFmpegError:
            continue
        if any(pts > first for pts in out):
            break
    return lead - out


def _origin(source: Source, packets: list[PacketTimes]) -> float:
    """When the first shown frame stands on the recording's own timeline, in seconds.

    Where an edit list starts between two frames the library shifts the picture so that its first
    shown frame is at zero; the untouched times, read beside it, tell where it truly stands.
    """
    first = min((p for p in packets if p.shown), key=lambda p: p.pts)
    plain = first.pts
    if source.format_name.startswith("mov") and source.temporary is None:
        shift = _edit_shift(source, {p.position: p.pts for p in packets})
        plain += shift
    return float(plain * source.time_base) + source.moved_s


def _edit_shift(source: Source, pts_at: dict[int, int]) -> int:
    """What the library took off every timestamp, 0 where it is not one and the same amount."""
    shifts = set()
    with open_container(source.path, {"advanced_editlist": "0"}) as container:
        stream = container.streams[source.stream.index]
        for packet in packets_of(container, stream):
            if packet.pts is None or packet.pos not in pts_at:
                continue
            shifts.add(packet.pts - pts_at[packet.pos])
            if shifts == {0} or len(shifts) > 1:
                return 0
    return shifts.pop() if shifts else 0


def _walk(
    source: Source,
    progress: Callable[[float], None] | None,
    cancelled: Callable[[], bool] | None,
) -> Iterable[PacketTimes]:
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
            position = -1 if packet.pos is None else packet.pos
            yield PacketTimes(packet.pts, position, packet.duration or 0, packet.is_keyframe, shown)
    if progress is not None:
        progress(1.0)


def build_index(
    packets: list[PacketTimes], time_base: Fraction, typical_step: int, origin_s: float = 0.0
) -> FrameIndex:
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
        origin_s=origin_s,
    )
