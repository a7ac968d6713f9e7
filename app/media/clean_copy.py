"""An original handed on without what the phone wrote beside picture and sound.

Picture and sound are copied packet by packet, so nothing is lost of them. Left behind: all tags
(place, date, device, titles), every other stream (tracks of places, captions, cover pictures,
attachments), chapters, and messages inside the picture's own stream.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import av
from av.audio.stream import AudioStream
from av.bitstream import BitStreamFilterContext
from av.codec.codec import UnknownCodecError
from av.container import InputContainer, OutputContainer
from av.error import FFmpegError
from av.packet import Packet
from av.video.stream import VideoStream

from app.media.atomic import replacing
from app.media.errors import MediaError
from app.media.source import open_container, picture_stream

# Containers that take nearly any stream, by what the original is.
_FORMATS = {"mov": "mov", "mp4": "mp4", "m4v": "mp4", "webm": "webm", "mkv": "matroska"}
_OTHERS = ("matroska", ".mkv")  # what takes streams of every other container
_UNORDERED = ("avi", "h264", "hevc")
_BROADCAST = ("ts", "mts", "m2ts")  # needs a container that is told of its sound last
# Messages that a camera or an editor leaves inside the stream of the picture, by its encoding:
# supplemental messages of H.264 (unit 6) and HEVC (units 39, 40); metadata units of AV1 (5).
_FILTERS = {
    "h264": "filter_units=remove_types=6",
    "hevc": "filter_units=remove_types=39-40",
    "av1": "filter_units=remove_types=5",
}


def clean_name(src: str | Path) -> str:
    """The suffix a copy of a recording gets: its own, or .mp4 or .mkv where that is unusual."""
    suffix = Path(src).suffix.lower().lstrip(".")
    if suffix in _BROADCAST:
        return ".mp4"
    return f".{suffix}" if suffix in _FORMATS else _OTHERS[1]


def copy_without_metadata(
    src: str | Path,
    dst: str | Path,
    progress: Callable[[float], None] | None = None,
    cancelled: Callable[[], bool] | None = None,
) -> None:
    """Copy a recording's picture and sound without any metadata, whole or not at all.

    The display matrix is kept, or the picture would lie on its side.

    Parameters
    ----------
    dst : the copy; its suffix should be that of `clean_name`
    progress : called with a share from 0 to 1
    cancelled : asked at every packet; True stops with a MediaError and leaves no file

    Raises
    ------
    MediaError
        The recording cannot be read or copied, or the copying was stopped.
    """
    src, dst = Path(src), Path(dst)
    form = _FORMATS.get(dst.suffix.lower().lstrip("."), _OTHERS[0])
    options = {"fflags": "+bitexact"}
    if form in ("mp4", "mov"):
        options["movflags"] = "+faststart"
    with replacing(dst) as temporary, open_container(src) as source:
        picture = picture_stream(source)
        streams: list[_Copied] = [s for s in (picture, *source.streams.audio) if s is not None]
        if not streams:
            raise MediaError(f"{src.name} holds neither picture nor sound; it was not copied.")
        try:
            with av.open(str(temporary), "w", format=form, options=options) as out:
                _copy(source, out, streams, progress, cancelled)
        except (FFmpegError, OSError, ValueError) as error:
            if isinstance(error, MediaError):
                raise
            raise MediaError(
                f"{src.name} could not be copied without its metadata, so it was left out; a clip "
                "of it can be sent in its place."
            ) from None


_Copied = VideoStream | AudioStream


def _copy(
    source: InputContainer,
    out: OutputContainer,
    streams: list[_Copied],
    progress: Callable[[float], None] | None,
    cancelled: Callable[[], bool] | None,
) -> None:
    lanes = {stream.index: _Lane(stream, out) for stream in streams}
    size = max(source.size, 1)
    for n, packet in enumerate(source.demux(streams)):
        if cancelled is not None and cancelled():
            raise MediaError("The copying was stopped; nothing was written.")
        lanes[packet.stream.index].pass_on(packet)
        if progress is not None and n % 50 == 0 and packet.pos is not None:
            progress(min(1.0, packet.pos / size))
    for lane in lanes.values():
        lane.end()


class _Lane:
    """One stream on its way into the copy."""

    def __init__(self, stream: _Copied, out: OutputContainer) -> None:
        self._out = out
        if stream.container.format.name in _UNORDERED and getattr(
            stream.codec_context, "has_b_frames", False
        ):
            raise ValueError("it does not say in which order its pictures are shown")
        try:
            self._to = out.add_stream_from_template(stream)
        except UnknownCodecError:  # decoded by a library that does not encode; a copy needs neither
            self._to = out.add_stream_from_template(stream, opaque=True)
        self._to.metadata.clear()
        strip = _FILTERS.get(stream.codec_context.codec.canonical_name)
        self._filter = None
        if strip is not None:
            # The stream's own header can hold messages too; a broadcast has none, but a mark that
            # other containers do not take.
            header = None if stream.container.format.name == "mpegts" else self._to
            self._filter = BitStreamFilterContext(strip, stream, header)
        self._undated: list[Packet] = []

    def pass_on(self, packet: Packet) -> None:
        """Write a packet; one without bytes only says that no more come."""
        if not packet.size:
            return
        if packet.dts is None:
            self._undated.append(packet)
            return
        for kept in (*self._dated(packet.dts), packet):
            self._pass(kept)

    def end(self) -> None:
        """Write what is still held."""
        for kept in self._dated(None):
            self._pass(kept)
        if self._filter is not None:
            for kept in self._filter.filter(None):
                self._write(kept)

    def _dated(self, before: int | None) -> list[Packet]:
        """Packets whose container does not say when to decode them: evenly before the next one."""
        held, self._undated = self._undated, []
        if before is None:
            shown = [p.pts for p in held if p.pts is not None]
            before = max(shown, default=0) + 1
        step = max((p.duration or 1 for p in held), default=1)
        for k, packet in enumerate(held):
            packet.dts = before - (len(held) - k) * step
            packet.pts = packet.dts if packet.pts is None else packet.pts
        return held

    def _pass(self, packet: Packet) -> None:
        for kept in self._filter.filter(packet) if self._filter is not None else [packet]:
            self._write(kept)

    def _write(self, packet: Packet) -> None:
        packet.stream = self._to
        self._out.mux(packet)
