"""Opening a recording: which stream is the picture, and one sentence when it cannot be used."""

from __future__ import annotations

import contextlib
import os
import weakref
from collections.abc import Iterator
from fractions import Fraction
from pathlib import Path
from types import TracebackType

import av
from av.container import InputContainer
from av.error import FFmpegError
from av.packet import Packet
from av.stream import Disposition, Stream
from av.video.stream import VideoStream

from app.media.errors import MediaError

# What a camera, a phone or an editor writes. Lists of other files, text and web addresses, which
# the library would open as well, are refused: a recording must not reach for anything else.
_FORMATS = (
    "mov,mp4,m4a,3gp,3g2,mj2,matroska,webm,avi,mpegts,mpeg,mpegvideo,h264,hevc,m4v,flv,asf,ogg,"
    "mxf,ivf,dv,mjpeg,av1,obu,wav,mp3,aac,flac,gif"
)
# Still pictures in the container of a film (ISO/IEC 23008-12): HEIC, AVIF.
_PHOTO_BRANDS = (b"heic", b"heix", b"heim", b"heis", b"mif1", b"avif")
_MOST_PIXELS = 8192 * 8192
_LARGE_PIXELS, _LARGE_THREADS = 5_000_000, 4
_OPTIONS = {"protocol_whitelist": "file", "format_whitelist": _FORMATS}


class Source:
    """An open recording and its picture stream. Belongs to one thread."""

    def __init__(self, path: Path, container: InputContainer, stream: VideoStream) -> None:
        self.path = path
        self.name = path.name
        self.container = container
        self.stream = stream
        self.has_sound = bool(container.streams.audio)
        self.capture_fps = _capture_fps(container.metadata)
        self.format_name = container.format.name
        self.assumed_fps: float | None = None  # where the file holds no times
        self.moved_s = 0.0  # what a temporary copy took off the original's times
        self._size = container.size
        self._disposable: Path | None = None
        _prepare(stream)

    def __enter__(self) -> Source:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.close()

    @property
    def time_base(self) -> Fraction:
        """Seconds of one unit of a timestamp."""
        return self.stream.time_base or Fraction(1, 1_000_000)

    @property
    def typical_step(self) -> int:
        """Timestamp units between two frames by the container's own word."""
        rate = self.stream.average_rate or self.stream.guessed_rate or Fraction(25)
        return max(1, round(1 / (rate * self.time_base)))

    def packets(self) -> Iterator[Packet]:
        """Packets of the picture from where the container stands; ends where reading fails."""
        return (p for p in packets_of(self.container, self.stream) if p.size)

    def hidden(self, packet: Packet) -> bool:
        """Whether a packet makes no picture of its own (VP8, VP9 can keep such helpers apart)."""
        name = self.stream.codec_context.name
        if packet.size < 1 or name not in ("vp8", "vp9", "libvpx", "libvpx-vp9"):
            return False
        data = memoryview(packet)
        if "vp9" in name:
            return not any(_vp9_is_shown(first) for first in _vp9_first_bytes(data))
        return not (data[0] >> 4) & 1

    def share_read(self, packet: Packet) -> float:
        """How far into the file a packet stands, 0 to 1."""
        size = self.container.size
        return min(1.0, max(0.0, (packet.pos or 0) / size)) if size > 0 else 0.0

    @property
    def temporary(self) -> Path | None:
        """The copy the picture is read from, where the recording cannot be stepped through."""
        return self._disposable

    def keep_temporary(self, path: Path, repacked: InputContainer, stream: VideoStream) -> None:
        """Read the picture from a repacked copy from now on; it goes when this closes."""
        self.container.close()
        self.container, self.stream, self._disposable = repacked, stream, path
        # Also where nobody came to close this.
        self._removal = weakref.finalize(self, path.unlink, missing_ok=True)
        _prepare(stream)

    def check_whole(self) -> None:
        """Raise a MediaError when the file went away or shrank since it was opened."""
        path = self._disposable or self.path
        try:
            size = path.stat().st_size
        except OSError:
            size = -1
        if size < self._size and self._disposable is None:
            raise MediaError(
                f"{self.name} can no longer be read: it was moved, deleted, or its disk was "
                "unplugged; bring it back and open it again."
            )

    def rewind(self) -> None:
        """Stand at the first packet again."""
        try:
            self.container.seek(-(2**40), stream=self.stream, backward=True)
        except (FFmpegError, OSError):
            self.reopen()

    def reopen(self) -> None:
        """Start over at the first packet with a fresh decoder."""
        index = self.stream.index
        fresh = open_container(self._disposable or self.path)
        self.container.close()
        self.container = fresh
        stream = fresh.streams[index]
        assert isinstance(stream, VideoStream)
        self.stream = stream
        _prepare(stream)

    def close(self) -> None:
        """Close the file; safe to call twice."""
        self.container.close()
        if self._disposable is not None:
            self._removal()
            self._disposable = None


def open_source(path: str | Path) -> Source:
    """Open a recording for its picture, as its container gives it.

    Raises
    ------
    MediaError
        Missing, a folder, unreadable, empty, not a recording, or without a picture.
    """
    path = Path(path)
    container = open_container(path)
    stream = picture_stream(container)
    if stream is None:
        sound = bool(container.streams.audio)
        container.close()
        what = "holds sound but no picture" if sound else "holds no picture"
        raise MediaError(f"{path.name} {what}: choose a video file.")
    if getattr(stream, "codec_context", None) is None:  # the library does not say it can be
        container.close()
        raise MediaError(
            f"{path.name} is stored in a way that cannot be decoded here: export it as H.264 MP4."
        )
    return Source(path, container, stream)


def open_container(path: str | Path, options: dict[str, str] | None = None) -> InputContainer:
    """Open any recording, or say in one sentence why not."""
    path = Path(path)
    _check_file(path)
    try:
        # A plain path only: a name such as "http:..." must never reach the network.
        return av.open(f"file:{path}", options=_OPTIONS | (options or {}), metadata_errors="ignore")
    except PermissionError:
        raise MediaError(f"{path.name} may not be read: check its permissions.") from None
    except (FFmpegError, OSError, ValueError):
        raise MediaError(
            f"{path.name} is not a recording that can be read, or it was cut off while it was "
            "being saved or sent: copy it again from the camera."
        ) from None


def _check_file(path: Path) -> None:
    try:
        if path.is_dir():
            raise MediaError(f"{path.name or path} is a folder: choose the video file inside it.")
        size = path.stat().st_size
    except FileNotFoundError:
        raise MediaError(f"{path.name} is not there: it was moved, renamed or deleted.") from None
    except OSError as error:
        raise MediaError(f"{path.name} cannot be reached: {error.strerror}.") from None
    if not os.access(path, os.R_OK):
        raise MediaError(f"{path.name} may not be read: check its permissions.")
    if size == 0:
        raise MediaError(f"{path.name} is empty: copy it again from the camera.")
    if _is_photo(path):
        raise MediaError(
            f"{path.name} is a photo, not a film. The film of a live photo is a file of its own "
            "beside it, mostly .mov or .mp4; a motion photo has to be exported as a film on the "
            "phone: ask for that one."
        )


def _is_photo(path: Path) -> bool:
    """Whether a file begins as a photo does; the library would take a tile of it for a film."""
    with contextlib.suppress(OSError), path.open("rb") as file:
        head = file.read(12)
        if head[4:8] == b"ftyp":
            return head[8:12] in _PHOTO_BRANDS
        jpeg = head.startswith(b"\xff\xd8\xff") and path.suffix.lower() in (".jpg", ".jpeg")
        return jpeg or head.startswith(b"\x89PNG")
    return False


def packets_of(container: InputContainer, stream: Stream) -> Iterator[Packet]:
    """Packets of one stream from where the container stands; ends where reading fails.

    The last, without bytes, tells a decoder that no more come.
    """
    while True:
        try:
            yield from container.demux(stream)
        except IndexError:
            continue  # a packet of a stream that was not there at the start: go on behind it
        except (FFmpegError, OSError):
            pass
        return


def picture_stream(container: InputContainer) -> VideoStream | None:
    """The default or best picture, never a cover image."""
    moving = [s for s in container.streams.video if not s.disposition & Disposition.attached_pic]
    if not moving:
        return None
    best = container.streams.best("video")
    return best if isinstance(best, VideoStream) and best in moving else moving[0]


def _prepare(stream: VideoStream) -> None:
    stream.thread_type = "AUTO"
    # Each thread holds a picture of its own and some more; on a machine of many cores that adds up.
    if stream.codec_context.width * stream.codec_context.height > _LARGE_PIXELS:
        stream.codec_context.thread_count = min(os.cpu_count() or 1, _LARGE_THREADS)
    # Damaged bytes can ask for pictures that fill the memory.
    stream.codec_context.options = {"max_pixels": str(_MOST_PIXELS)}


def _vp9_first_bytes(data: memoryview) -> Iterator[int]:
    """The first byte of each frame of a packet, which may hold several (VP9, annex B)."""
    mark = data[-1]
    count, width = (mark & 7) + 1, (mark >> 3 & 3) + 1
    table = len(data) - 2 - count * width
    if mark >> 5 != 0b110 or table < 0 or data[table] != mark:
        yield data[0]
        return
    at = 0
    for k in range(count):
        begin = table + 1 + k * width
        size = int.from_bytes(data[begin : begin + width], "little")
        if size and at < table:
            yield data[at]
        at += size


def _vp9_is_shown(first: int) -> bool:
    """Whether a frame is shown, or shows a kept one (VP9, 6.2: after marker and profile)."""
    flags = first << 1 if first >> 4 & 3 == 3 else first
    return bool(flags & 0b1010)


def _capture_fps(metadata: dict[str, str]) -> float | None:
    """The rate a slow-motion clip was recorded at, where the phone wrote it down."""
    try:
        rate = float(metadata.get("com.android.capture.fps", ""))
    except ValueError:
        return None
    return rate if 1 <= rate <= 10_000 else None
