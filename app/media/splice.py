"""A clip of which a part is taken from the recording as it is, between edges that are encoded.

Both parts name their parameter sets by numbers of their own. All of them stand in the head of the
file, and those of a part once more in front of each picture that decoding can begin with.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path
from typing import TYPE_CHECKING, cast

from av.codec import CodecContext
from av.packet import Packet
from av.video.codeccontext import VideoCodecContext
from av.video.frame import VideoFrame

from app.media.encode import CRF, QUALITY, SOUND_BPS, TIME_BASE, ClipWriter
from app.media.errors import MediaError
from app.media.h264.packets import begins_anew, encoded_parts, with_sets
from app.media.stored import StoredStretch

if TYPE_CHECKING:
    from av.video.stream import VideoStream


@dataclass(frozen=True)
class _Unit:
    """One packet to be written: its slices, and the parameter sets it needs."""

    pts: int
    pictures: bytes
    sets: tuple[bytes, ...]


class SplicedClip(ClipWriter):
    """Writes a clip around a stored stretch; `add_frame` gets the frames that does not show.

    Parameters
    ----------
    stored : what is taken as it is, its pictures of the clip's size and colours
    begins_s : where the clip begins on the clock of `stored`
    """

    def __init__(
        self,
        out_mp4: str | Path,
        width: int,
        height: int,
        sound_hz: int | None = None,
        *,
        stored: StoredStretch,
        begins_s: float,
        crf: int = CRF,
        sound_bps: int = SOUND_BPS,
        fps: float = 30.0,
    ) -> None:
        super().__init__(out_mp4, width, height, sound_hz, crf=crf, sound_bps=sound_bps, fps=fps)
        sets = (*stored.sets.sps, *stored.sets.pps)
        self._stored = [
            _Unit(round(max(time_s - begins_s, 0.0) / TIME_BASE), pictures, sets)
            for time_s, pictures in zip(stored.time_s, stored.pictures, strict=True)
        ]
        self._middle_pts = min(unit.pts for unit in self._stored)
        self._own_id = stored.sets.free_id()
        self._units: list[_Unit] = []
        self._encoder: VideoCodecContext | None = None
        self._sets: tuple[bytes, ...] = ()

    def _picture_stream(self) -> VideoStream:
        width, height = self._size
        stream = self._file.add_mux_stream("h264", width=width, height=height, time_base=TIME_BASE)
        return cast("VideoStream", stream)

    def add_frame(self, frame: VideoFrame, time_s: float) -> None:
        """Add a frame before or after the stored stretch; as `ClipWriter.add_frame`."""
        pts = round(time_s / TIME_BASE)
        if self._stored and pts > self._middle_pts:
            self._take_stored()
        frame.pts, frame.time_base = pts, TIME_BASE
        self._keep(self._open_encoder().encode(frame))

    def finish(self, end_s: float) -> None:
        """Say when the last picture stops being shown; call it after the last `add_frame`."""
        if self._stored:
            self._take_stored()
        self._flush()
        self._write(round(end_s / TIME_BASE))
        if self._sound is not None:
            self._file.mux(self._sound.encode(None))

    def _take_stored(self) -> None:
        self._flush()
        self._units += self._stored
        self._stored = []

    def _open_encoder(self) -> VideoCodecContext:
        if self._encoder is None:
            context = CodecContext.create("libx264", "w")
            assert isinstance(context, VideoCodecContext)
            params = f"{QUALITY['x264-params']}:sps-id={self._own_id}"
            self._prepare(context, **{**QUALITY, "x264-params": params})
            self._encoder = context
        return self._encoder

    def _flush(self) -> None:
        """Bring to an end what is being encoded: what follows leans on none of it."""
        if self._encoder is not None:
            self._keep(self._encoder.encode(None))
            self._encoder = None

    def _keep(self, packets: list[Packet]) -> None:
        for packet in packets:
            sets, pictures = encoded_parts(bytes(packet))
            self._sets = sets or self._sets
            assert packet.pts is not None
            self._units.append(_Unit(packet.pts, pictures, self._sets))

    def _write(self, end_pts: int) -> None:
        """Give each packet its time of decoding, no later than any is shown, and write them."""
        shown = sorted(unit.pts for unit in self._units)
        if any(later <= earlier for earlier, later in pairwise(shown)):
            raise MediaError("The pictures of a clip must follow each other in time.")
        late = max(at - unit.pts for at, unit in zip(shown, self._units, strict=True))
        every = tuple(dict.fromkeys(s for unit in self._units for s in unit.sets))
        ends = [*shown[1:], max(end_pts, shown[-1] + 1)]
        for n, (unit, at, end) in enumerate(zip(self._units, shown, ends, strict=True)):
            is_key = begins_anew(unit.pictures)
            # The head of the file is made from what the first packet holds.
            sets = every if n == 0 else unit.sets if is_key else ()
            packet = Packet(with_sets(unit.pictures, sets))
            packet.pts, packet.dts, packet.duration = unit.pts, at - late, end - at
            packet.time_base = TIME_BASE
            packet.is_keyframe = is_key
            packet.stream = self._picture
            self._file.mux(packet)
