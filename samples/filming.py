"""Pictures and sound into one MP4 file, as a phone would: H.264 with some grain, AAC."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction
from pathlib import Path

import av
import numpy as np
from av.audio.frame import AudioFrame
from av.audio.stream import AudioStream
from av.container.output import OutputContainer
from av.video.frame import VideoFrame
from av.video.reformatter import ColorPrimaries, ColorRange, Colorspace, ColorTrc
from av.video.stream import VideoStream

from app.media.opencv import opencv

cv2 = opencv()

_BT709 = 1
_SOUND_CHUNK = 1024
_GRAIN_TILES = 7
# A fixed number: the encoder's choices depend on it, and the same sample must come out anywhere.
_THREADS = 4


class Grain:
    """Sensor noise on the brightness, drawn once and shown at a new place every frame."""

    def __init__(self, width: int, height: int, strength: float, seed: int) -> None:
        rng = np.random.default_rng([seed, 61])
        self.size = (width, height)
        self.strength = strength
        noise = rng.normal(0.0, 1.25 * strength, (height + 64, width + 64)).astype(np.float32)
        noise = cv2.GaussianBlur(noise, (0, 0), 0.7) * 1.5
        # Added and taken off an unsigned picture, so that nothing wraps around.
        self.up = np.clip(np.round(noise), 0, 20).astype(np.uint8)
        self.down = np.clip(np.round(-noise), 0, 20).astype(np.uint8)
        self.places = rng.integers(0, 64, (_GRAIN_TILES * 31, 2))

    def add(self, luma: np.ndarray, index: int) -> None:
        """Grain on (height, width) uint8 brightness, in place."""
        if not self.strength:
            return
        y, x = self.places[index % len(self.places)]
        width, height = self.size
        part = np.s_[y : y + height, x : x + width]
        cv2.add(luma, self.up[part], dst=luma)
        cv2.subtract(luma, self.down[part], dst=luma)


def film(
    target: Path,
    paint: Callable[[int], np.ndarray],
    frames: int,
    fps: int,
    grain: Grain,
    sound: np.ndarray,
    sound_hz: int,
    crf: int,
    tick: Callable[[int], None],
) -> None:
    """Encode `frames` pictures of `paint` (blue green red) and mono `sound` into `target`.

    `tick` is called with each frame's number before it is painted; what it raises ends the film.
    """
    options = {"movflags": "+faststart", "fflags": "+bitexact"}
    with av.open(str(target), "w", format="mp4", options=options) as out:
        picture = _picture_stream(out, grain.size, fps, crf)
        heard = _sound_stream(out, sound_hz)
        said = 0
        for index in range(frames):
            tick(index)
            frame = _frame(paint(index), grain, index)
            frame.pts, frame.time_base = index, Fraction(1, fps)
            out.mux(picture.encode(frame))
            until = (index + 1) * sound_hz // fps
            while said + _SOUND_CHUNK <= until:
                _say(out, heard, sound, said, said + _SOUND_CHUNK, sound_hz)
                said += _SOUND_CHUNK
        out.mux(picture.encode(None))
        _say(out, heard, sound, said, len(sound), sound_hz)
        out.mux(heard.encode(None))


def _picture_stream(out: OutputContainer, size: tuple[int, int], fps: int, crf: int) -> VideoStream:
    # Macroblock-tree rate control gave different files from equal pictures, run by run.
    settings = {"preset": "veryfast", "crf": str(crf), "threads": str(_THREADS)}
    settings["x264-params"] = f"mbtree=0:keyint={fps}"
    stream = out.add_stream("libx264", rate=fps, options=settings)
    assert isinstance(stream, VideoStream)
    context = stream.codec_context
    context.width, context.height = size
    context.pix_fmt = "yuv420p"
    context.time_base = Fraction(1, fps)
    context.colorspace = _BT709
    context.color_primaries = ColorPrimaries.BT709
    context.color_trc = ColorTrc.BT709
    context.color_range = ColorRange.MPEG
    context.thread_type = "FRAME"
    context.gop_size = 2 * fps
    return stream


def _sound_stream(out: OutputContainer, sound_hz: int) -> AudioStream:
    stream = out.add_stream("aac", rate=sound_hz, layout="mono")
    assert isinstance(stream, AudioStream)
    stream.codec_context.bit_rate = 64_000
    return stream


def _frame(image: np.ndarray, grain: Grain, index: int) -> VideoFrame:
    coloured = VideoFrame.from_ndarray(np.ascontiguousarray(image), format="bgr24")
    frame = coloured.reformat(
        format="yuv420p",
        dst_colorspace=Colorspace.ITU709,
        dst_color_range=ColorRange.MPEG,
        interpolation="BILINEAR",
    )
    plane = frame.planes[0]
    luma = np.frombuffer(memoryview(plane), np.uint8).reshape(plane.height, plane.line_size)
    grain.add(luma[:, : plane.width], index)
    return frame


def _say(
    out: OutputContainer, stream: AudioStream, sound: np.ndarray, a: int, b: int, hz: int
) -> None:
    if b <= a:
        return
    frame = AudioFrame.from_ndarray(sound[np.newaxis, a:b], format="flt", layout="mono")
    frame.sample_rate = hz
    frame.time_base = Fraction(1, hz)
    frame.pts = a
    out.mux(stream.encode(frame))
