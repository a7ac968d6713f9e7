"""A temporary copy of the picture's packets where the container cannot be stepped through."""

from __future__ import annotations

import os
from fractions import Fraction
from pathlib import Path

import av
from av.error import FFmpegError
from av.packet import Packet
from av.video.codeccontext import VideoCodecContext

from app.files.alive import own_name
from app.files.atomic import PRIVATE, create
from app.files.private import private_folder
from app.media.errors import MediaError
from app.media.source import Source, open_source, picture_stream

# Their seeking lands past the wanted frame, or they have no table of frames at all.
_NO_TABLE = frozenset({"mpegts", "mpeg", "h264", "hevc", "m4v", "mpegvideo"})
# Pictures one after another and nothing else: no time of any of them.
_BARE = frozenset({"h264", "hevc"})
_USUAL_RATE = Fraction(25)
# AVI stores no presentation times: where frames are stored out of order they are guesses.
_GUESSED_IN_AVI = frozenset({"h264", "hevc"})


def open_steppable(path: str | Path) -> Source:
    """Open a recording so that every frame can be found by its timestamp.

    Raises
    ------
    MediaError
        As `open_source`.
    """
    source = open_source(path)
    context = source.stream.codec_context
    avi = source.format_name == "avi"
    if source.format_name in _BARE:
        rate = _rate_of(source)
        _repack(source, None, max(1, round(1 / (rate * source.time_base))))
        if source.temporary is None:
            source.close()
            raise MediaError(
                f"{source.name} is a bare stream of pictures without their times, and the copy "
                "that gives them times could not be made here: free some space on the disk, or ask "
                "for the film as MP4 or MOV."
            )
        source.assumed_fps = float(rate)
    elif avi and context.name in _GUESSED_IN_AVI and context.has_b_frames:
        _repack(source, _order_of(source))
    elif source.format_name in _NO_TABLE:
        _repack(source, None)
    return source


def _rate_of(source: Source) -> Fraction:
    """Frames per second of a bare stream: what its encoder wrote into it, or the usual one."""
    rate = source.stream.guessed_rate
    return rate if rate is not None and 1 <= rate <= 1000 else _USUAL_RATE


def _repack(source: Source, order: dict[int, int] | None, step: int = 0) -> None:
    """Read the picture from a copy from now on; when that fails the original serves on.

    Parameters
    ----------
    step : from one picture to the next where nothing has a time, else 0
    """
    repacked = None
    temporary: Path | None = None
    try:
        temporary = _private_file()
        order = _order_of(source, step) if step else order
        first_s = _copy_packets(source, temporary, order, step)
        repacked = av.open(str(temporary))
        stream = picture_stream(repacked)
        if stream is None:
            raise ValueError("nothing was copied")
    except (FFmpegError, OSError, ValueError):
        if repacked is not None:
            repacked.close()
        if temporary is not None:
            temporary.unlink(missing_ok=True)
        source.reopen()
        return
    source.keep_temporary(temporary, repacked, stream)
    source.moved_s = first_s - _first_time(source)


def _private_file() -> Path:
    """An empty file for footage, which goes at the next start if this process is killed."""
    path = private_folder() / own_name("strokeside", ".mp4")
    os.close(create(path, PRIVATE))
    return path


def _first_time(source: Source) -> float:
    pts = next((p.pts for p in source.packets() if p.pts is not None), 0)
    source.rewind()
    return float(pts * source.time_base)


def _copy_packets(
    source: Source, target: Path, order: dict[int, int] | None, step: int = 0
) -> float:
    """Copy what can be decoded; the time of the first packet on the original's timeline."""
    first: Fraction | None = None
    with av.open(str(target), "w", format="mp4") as out:
        copy = out.add_stream_from_template(source.stream)
        started = False
        for n, packet in enumerate(source.packets()):
            started = started or packet.is_keyframe
            if order is not None:
                if n not in order:
                    continue
                packet.pts = order[n]
            if step:
                packet.dts, packet.duration = n * step, step
            if started and packet.dts is not None and packet.pts is not None:
                if first is None:
                    first = packet.pts * source.time_base
                packet.stream = copy
                out.mux(packet)
    # Numbered packets were put later by a constant; the first one shows when it is decoded.
    delay = 0 if order is None else min(order.values(), default=0)
    return float((first or 0) - delay * source.time_base)


def _order_of(source: Source, step: int = 0) -> dict[int, int]:
    """Presentation time of each packet, found by decoding all once; leaves the source at its start.

    A decoder hands a packet's timestamp through to its frame, so packets are numbered; the n-th
    frame out takes the n-th decoding time, later by what keeps all of them after their own.
    """
    stored: list[int] = []
    shown: list[int] = []
    context = source.stream.codec_context
    for n, packet in enumerate(source.packets()):
        stored.append(n * (step or 1) if step or packet.dts is None else packet.dts)
        packet.pts = n
        shown += _numbers(context, packet)
    shown += _numbers(context, None)
    source.reopen()
    times = sorted(stored)[: len(shown)]
    delay = max((stored[n] - t for n, t in zip(shown, times, strict=True)), default=0)
    return {n: t + max(delay, 0) for n, t in zip(shown, times, strict=True)}


def _numbers(context: VideoCodecContext, packet: Packet | None) -> list[int]:
    try:
        return [f.pts for f in context.decode(packet) if f.pts is not None]
    except FFmpegError:
        return []
