"""The sound of a recording on the clock of its picture."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import av
import numpy as np
from av.audio.frame import AudioFrame
from av.audio.stream import AudioStream
from av.container import InputContainer
from av.error import FFmpegError
from numpy.typing import NDArray

from app.media.errors import MediaError
from app.media.index import FrameIndex, read_index
from app.media.source import open_container, packets_of

# Decoders need a little run-up before what they give is right, and seeks land on whole packets.
_RUN_UP_S = 0.5


def has_sound(path: str | Path) -> bool:
    """Whether a recording holds a sound stream."""
    with open_container(path) as container:
        return bool(container.streams.audio)


def read_sound(
    path: str | Path,
    start_s: float,
    end_s: float,
    rate_hz: int = 48000,
    index: FrameIndex | None = None,
) -> NDArray[np.float32]:
    """Sound between two video times as (N,) float32 mono, N = round((end_s - start_s) * rate_hz).

    Where the recording has no sound (before it starts, after it ends, in gaps) there is silence.

    Parameters
    ----------
    start_s, end_s : seconds from the first shown frame
    index : the recording's index where it is known already; its `origin_s` places the sound

    Raises
    ------
    MediaError
        The recording cannot be read or holds no sound.
    """
    count = max(0, round((end_s - start_s) * rate_hz))
    if index is None:
        index = read_index(path)
    with open_container(path) as container:
        stream = container.streams.best("audio")
        if not isinstance(stream, AudioStream):
            raise MediaError(f"{Path(path).name} has no sound.")
        first_s = index.origin_s + start_s
        frames = _frames(container, stream, first_s, first_s + count / rate_hz)
        samples, source_hz = _assemble(frames, first_s, count / rate_hz)
    return _resample(samples, source_hz, rate_hz, count)


def _frames(
    container: InputContainer, stream: AudioStream, first_s: float, last_s: float
) -> Iterator[AudioFrame]:
    """Decoded sound that touches the span, in order."""
    unit = stream.time_base
    if unit is not None and first_s > _RUN_UP_S:
        try:
            container.seek(int((first_s - _RUN_UP_S) / unit), stream=stream, backward=True)
        except (FFmpegError, OSError):
            container.seek(0)
    for packet in packets_of(container, stream):
        try:
            frames = stream.codec_context.decode(packet)
        except FFmpegError:
            continue  # a damaged packet is heard as silence
        for frame in frames:
            if frame.time is None:
                continue
            if frame.time >= last_s:
                return
            if frame.time + frame.samples / frame.sample_rate > first_s:
                yield frame


def _assemble(
    frames: Iterator[AudioFrame], first_s: float, span_s: float
) -> tuple[NDArray[np.float32], int]:
    """Lay frames where their timestamps say, at their own sample rate."""
    line: NDArray[np.float32] | None = None
    rate = 48000
    for frame in frames:
        if line is None:
            rate = frame.sample_rate
            line = np.zeros(round(span_s * rate) + 1, np.float32)
        assert frame.time is not None
        mono = _mono(frame)
        at = round((frame.time - first_s) * rate)
        begin, end = max(at, 0), min(at + len(mono), len(line))
        if begin < end:
            line[begin:end] = mono[begin - at : end - at]
    return (np.zeros(0, np.float32) if line is None else line), rate


def _mono(frame: AudioFrame) -> NDArray[np.float32]:
    values: NDArray[Any] = frame.to_ndarray()
    channels = frame.layout.nb_channels
    lines = values if frame.format.is_planar else values.reshape(-1, channels).T
    if values.dtype.kind == "u":
        lines = lines.astype(np.float32) / 128 - 1
    elif values.dtype.kind == "i":
        lines = lines.astype(np.float32) / 2.0 ** (8 * values.dtype.itemsize - 1)
    return np.asarray(lines.mean(axis=0), np.float32)


def _resample(
    samples: NDArray[np.float32], source_hz: int, rate_hz: int, count: int
) -> NDArray[np.float32]:
    out = np.zeros(count, np.float32)
    if source_hz != rate_hz and len(samples):
        frame = AudioFrame.from_ndarray(samples[np.newaxis], format="flt", layout="mono")
        frame.sample_rate = source_hz
        resampler = av.AudioResampler(format="flt", layout="mono", rate=rate_hz)
        parts = [*resampler.resample(frame), *resampler.resample(None)]
        samples = np.concatenate([p.to_ndarray()[0] for p in parts]).astype(np.float32)
    usable = min(count, len(samples))
    out[:usable] = samples[:usable]
    return out
