"""A voice as a small file that plays anywhere: AAC in MP4."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import av
import numpy as np
from av.audio.frame import AudioFrame
from av.audio.stream import AudioStream
from av.error import FFmpegError
from numpy.typing import NDArray

from app.media.atomic import replacing
from app.media.errors import MediaError

BIT_RATE = 96_000  # one channel of speech


def write_m4a(samples: NDArray[np.float64], sample_hz: int, out_m4a: str | Path) -> None:
    """Write (N,) mono samples in -1..1, index at the front, no metadata; equal in, equal out.

    Raises
    ------
    MediaError
        It could not be encoded or written; nothing is left behind.
    """
    options = {"movflags": "+faststart", "fflags": "+bitexact"}
    with replacing(out_m4a) as temporary:
        try:
            with av.open(str(temporary), "w", format="mp4", options=options) as file:
                stream = file.add_stream("aac", rate=sample_hz, layout="mono")
                assert isinstance(stream, AudioStream)
                stream.codec_context.bit_rate = BIT_RATE
                levels = np.clip(np.asarray(samples, np.float32), -1, 1)
                frame = AudioFrame.from_ndarray(levels[np.newaxis], format="flt", layout="mono")
                frame.sample_rate, frame.pts = sample_hz, 0
                frame.time_base = Fraction(1, sample_hz)
                for packet in (*stream.encode(frame), *stream.encode(None)):
                    file.mux(packet)
        except FFmpegError as error:
            raise MediaError(f"The voice could not be written ({error.strerror}).") from error
