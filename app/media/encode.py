"""Clips that play anywhere: H.264 and AAC in MP4, every frame at its own time."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass, field
from fractions import Fraction
from pathlib import Path
from types import TracebackType
from typing import TYPE_CHECKING

import av
import numpy as np
from av.audio.frame import AudioFrame
from av.audio.stream import AudioStream
from av.error import FFmpegError
from av.packet import Packet
from av.video.codeccontext import VideoCodecContext
from av.video.frame import VideoFrame
from av.video.reformatter import ColorPrimaries, ColorRange, ColorTrc
from av.video.stream import VideoStream
from numpy.typing import NDArray

from app.media.ahead import Ahead
from app.media.atomic import replacing
from app.media.clip_frames import ClipFrames, Paint, clip_size, to_yuv
from app.media.errors import MediaError
from app.media.h264.level import level_of, rate_of
from app.media.orientation import Turn
from app.media.veil import Veil
from app.media.video import VideoFile

if TYPE_CHECKING:
    from app.media.stored import StoredStretch

TIME_BASE = Fraction(1, 90_000)
_BT709 = 1
# Without the last setting x264 gives other bytes from the same frames, from run to run.
QUALITY = {"preset": "veryfast", "x264-params": "cpu-independent=1"}
# As many on every machine, for another number gives other bytes.
_THREADS = 4
CRF = 21
SOUND_BPS = 96_000


class ClipWriter:
    """Writes one clip: 4:2:0 H.264 tagged with its matrix, index at the front, no metadata.

    Use it in a `with` block; the file appears under its name when the block ends well and not at
    all otherwise.

    Parameters
    ----------
    out_mp4 : where the clip goes
    width, height : size of its pictures; both even
    sound_hz : sample rate of its sound; None for none
    matrix : of the frames that `add_frame` gets (see `app.media.planes`)
    crf : constant rate factor of x264, smaller is closer
    sound_bps : bits a second of its sound
    fps : frames a second, which a decoder is told it must keep up with (see `app.media.h264.level`)
    """

    def __init__(
        self,
        out_mp4: str | Path,
        width: int,
        height: int,
        sound_hz: int | None = None,
        matrix: int = _BT709,
        crf: int = CRF,
        sound_bps: int = SOUND_BPS,
        fps: float = 30.0,
    ) -> None:
        if width % 2 or height % 2 or width < 2 or height < 2:
            raise MediaError(f"A clip needs even sides, not {width} by {height}.")
        self._out = Path(out_mp4)
        self._size = (width, height)
        self._matrix = matrix
        self._sound_hz = sound_hz
        self._crf, self._sound_bps = crf, sound_bps
        self._level = level_of(width, height, fps)
        self._stack = ExitStack()
        self._durations: dict[int, int] = {}
        self._pending: tuple[VideoFrame, int] | None = None
        self._heard = 0

    def __enter__(self) -> ClipWriter:
        temporary = self._stack.enter_context(replacing(self._out))
        options = {"movflags": "+faststart", "fflags": "+bitexact"}
        self._file = av.open(str(temporary), "w", format="mp4", options=options)
        self._picture = self._picture_stream()
        self._sound = self._sound_stream() if self._sound_hz is not None else None
        return self

    def _picture_stream(self) -> VideoStream:
        stream = self._file.add_stream("libx264")
        assert isinstance(stream, VideoStream)
        self._prepare(stream.codec_context, **QUALITY)
        stream.time_base = TIME_BASE
        return stream

    def _prepare(self, context: VideoCodecContext, **settings: str) -> None:
        """Tell an encoder what is wanted of it."""
        context.thread_count = _THREADS
        # Whole frames beside each other: slices, which PyAV asks for, cost a twentieth in size.
        context.thread_type = "FRAME"
        context.width, context.height = self._size
        context.pix_fmt = "yuv420p"
        context.time_base = TIME_BASE
        context.colorspace = self._matrix
        if self._matrix == _BT709:  # another source says no more of its colours than its matrix
            context.color_primaries = ColorPrimaries.BT709
            context.color_trc = ColorTrc.BT709
        context.color_range = ColorRange.MPEG
        context.gop_size = 60
        context.options = {**settings, "crf": str(self._crf), "level": str(self._level)}

    def _sound_stream(self) -> AudioStream:
        stream = self._file.add_stream("aac", rate=self._sound_hz, layout="mono")
        assert isinstance(stream, AudioStream)
        stream.codec_context.bit_rate = self._sound_bps
        return stream

    def add(self, image: NDArray[np.uint8], time_s: float) -> None:
        """Add an (H, W, 3) RGB picture shown from `time_s` (the first 0) until the next one.

        Raises
        ------
        MediaError
            Its time is not after the one before, or its size is not the clip's.
        """
        if image.shape != (self._size[1], self._size[0], 3):
            raise MediaError("Every picture of a clip must be of one size.")
        self.add_frame(to_yuv(image), time_s)

    def add_frame(self, frame: VideoFrame, time_s: float) -> None:
        """Add a 4:2:0 frame in the clip's matrix; as `add`. The same frame may come again."""
        pts = round(time_s / TIME_BASE)
        if self._pending is not None:
            if pts <= self._pending[1]:
                raise MediaError("The pictures of a clip must follow each other in time.")
            self._send(pts)
        self._pending = (frame, pts)

    def add_sound(self, samples: NDArray[np.float32]) -> None:
        """Add mono sound in -1..1, following what was added before; the first starts at 0."""
        if self._sound is None or self._sound_hz is None or not len(samples):
            return
        clipped = np.clip(np.asarray(samples, np.float32), -1, 1)
        frame = AudioFrame.from_ndarray(clipped[np.newaxis], format="flt", layout="mono")
        frame.sample_rate = self._sound_hz
        frame.time_base = Fraction(1, self._sound_hz)
        frame.pts = self._heard
        self._heard += len(samples)
        self._file.mux(self._sound.encode(frame))

    def finish(self, end_s: float) -> None:
        """Say when the last picture stops being shown; call it after the last `add`."""
        if self._pending is None:
            raise MediaError(f"{self._out.name} would hold no picture.")
        self._send(max(round(end_s / TIME_BASE), self._pending[1] + 1))
        self._mux(self._picture.encode(None))
        if self._sound is not None:
            self._file.mux(self._sound.encode(None))

    def _send(self, next_pts: int) -> None:
        assert self._pending is not None
        frame, pts = self._pending
        frame.pts, frame.time_base = pts, TIME_BASE
        self._durations[pts] = next_pts - pts
        self._pending = None
        self._mux(self._picture.encode(frame))

    def _mux(self, packets: list[Packet]) -> None:
        for packet in packets:
            if packet.pts is not None:
                packet.duration = self._durations.pop(packet.pts, packet.duration or 0)
            self._file.mux(packet)

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        try:
            self._file.close()
        except (FFmpegError, OSError) as broken:
            if error is None:
                failure = MediaError(f"{self._out.name} was not written: {broken.strerror}.")
                self._stack.__exit__(type(failure), failure, None)
                raise failure from None
        self._stack.__exit__(kind, error, trace)


@dataclass(frozen=True)
class ClipLook:
    """How a clip looks and how closely it is kept.

    Attributes
    ----------
    max_height : the picture is shrunk to this, never enlarged
    crf : constant rate factor of x264, smaller is closer
    sound_bps : bits a second of its sound
    turn : a further clockwise turn, then mirror, on top of upright
    lift : how far dark parts are raised, see `app.media.light`
    paint : draws over the upright, turned RGB picture of a time in the recording
    painted : whether `paint` draws anything at a time; None where it always may
    as_stored : take packets of the recording as they are where nothing is done to its picture
    """

    max_height: int = 720
    crf: int = CRF
    sound_bps: int = SOUND_BPS
    turn: Turn = field(default_factory=Turn)
    lift: float = 0.0
    paint: Paint | None = None
    painted: Callable[[float], bool] | None = None
    as_stored: bool = False


def cut_clip(
    video_path: str | Path,
    start_s: float,
    end_s: float,
    out_mp4: str | Path,
    max_height: int = 720,
    speed: float = 1.0,
    quarter_turns: int = 0,
    mirrored: bool = False,
    lift: float = 0.0,
    progress: Callable[[float], None] | None = None,
    cancelled: Callable[[], bool] | None = None,
    capture_fps: float | None = None,
    paint: Paint | None = None,
    veil: Veil | None = None,
) -> None:
    """Cut a span of a recording into a clip of its own, every frame at its own time.

    Parameters
    ----------
    start_s, end_s : seconds from the first shown frame
    max_height, quarter_turns, mirrored, lift, paint : see `ClipLook`
    speed : 0.25 plays four times slower; any speed but 1 is silent
    progress : called with a share from 0 to 1
    cancelled : asked at every frame; True stops with a MediaError and leaves no file
    capture_fps : rate a slow-motion recording was made at; all times are then real seconds
    veil : what to hide at a time of the recording

    Raises
    ------
    MediaError
        The recording cannot be used, the span is empty, or the clip cannot be written.
    """
    look = ClipLook(max_height, turn=Turn(quarter_turns % 4, mirrored), lift=lift, paint=paint)
    with VideoFile.open(video_path, capture_fps=capture_fps, veil=veil) as video:
        cut_open(video, start_s, end_s, out_mp4, look, speed, progress, cancelled)


def cut_open(
    video: VideoFile,
    start_s: float,
    end_s: float,
    out_mp4: str | Path,
    look: ClipLook,
    speed: float = 1.0,
    progress: Callable[[float], None] | None = None,
    cancelled: Callable[[], bool] | None = None,
    passing: Callable[[int], None] | None = None,
) -> None:
    """Cut a span of an open recording; as `cut_clip`.

    Parameters
    ----------
    passing : called with the number of each frame while it is at hand in the decoder, so that
        taking a picture of it costs no decoding; like `look.paint`, in a thread of its own. Not
        with those that are taken as they are stored
    """
    if not speed > 0:
        raise MediaError("A clip's speed must be above zero.")
    start_s, end_s = max(start_s, video.index.start_s), min(end_s, video.index.end_s)
    if not end_s > start_s:
        raise MediaError(f"{video.path.name} has no picture in the span asked for.")
    size = clip_size(video, look.turn, look.max_height)
    frames = ClipFrames(video, size, look.turn, look.lift, look.paint, look.painted)
    sound_hz = 48000 if video.has_sound and speed == 1.0 else None
    fps = speed * rate_of(video.index.time_s)
    first, last = video.index.at(start_s), video.index.at(end_s - 1e-4)
    stored = None
    if look.as_stored and speed == 1.0:
        from app.media.stored import stored_between

        stored = stored_between(video, first, last, frames)
    clip = _writer(out_mp4, size, sound_hz, look, fps, stored, start_s)
    numbers = [i for i in range(first, last + 1) if stored is None or i not in stored.frames]

    def pictures() -> Iterator[VideoFrame]:
        for i in numbers:
            frame = frames.frame(i)
            if passing is not None:
                passing(i)
            yield frame

    with _guarded(out_mp4), clip, Ahead(pictures, "clip") as ahead:
        if sound_hz is not None:  # a file of its own is opened for it, beside the decoding
            clip.add_sound(video.sound(start_s, end_s, sound_hz))
        for i, frame in zip(numbers, ahead, strict=True):
            if cancelled is not None and cancelled():
                raise MediaError("The clip was stopped; nothing was written.")
            clip.add_frame(frame, max(float(video.index.time_s[i]) - start_s, 0.0) / speed)
            if progress is not None:
                progress((i - first + 1) / (last - first + 1))
        clip.finish((end_s - start_s) / speed)


def _writer(
    out_mp4: str | Path,
    size: tuple[int, int],
    sound_hz: int | None,
    look: ClipLook,
    fps: float,
    stored: StoredStretch | None,
    begins_s: float,
) -> ClipWriter:
    if stored is None:
        return ClipWriter(out_mp4, *size, sound_hz, crf=look.crf, sound_bps=look.sound_bps, fps=fps)
    from app.media.splice import SplicedClip

    return SplicedClip(
        out_mp4, *size, sound_hz, crf=look.crf, sound_bps=look.sound_bps, fps=fps,
        stored=stored, begins_s=begins_s,
    )  # fmt: skip


def made_by() -> str:
    """Name the encoder and its settings: other ones give other bytes of the same pictures."""
    return f"{av.__version__} {sorted(av.library_versions.items())} {QUALITY} {_THREADS}"


@contextmanager
def _guarded(out: str | Path) -> Iterator[None]:
    """Turn what the encoder throws into a sentence."""
    try:
        yield
    except (FFmpegError, OSError) as error:
        why = (error.strerror or "the encoder failed").lower()
        raise MediaError(f"{Path(out).name} was not written: {why}.") from None
