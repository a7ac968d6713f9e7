"""A recording whose frames are asked for by number."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction
from pathlib import Path
from types import TracebackType
from typing import Any

import numpy as np
from av.error import FFmpegError
from av.video.frame import PictureType, VideoFrame
from numpy.typing import NDArray

from app.media.decoder import FrameReader, Passing
from app.media.errors import MediaError
from app.media.index import FrameIndex, in_real_seconds, index_of, moved, rate_of
from app.media.laid import Laid
from app.media.opencv import opencv
from app.media.orientation import Turn, turn_of_matrix
from app.media.picture import Painter, SmallFrame
from app.media.repack import open_steppable
from app.media.source import Source, open_source
from app.media.veil import Veil, veiled

_MOST_BETWEEN = 5  # frames stored out of order in a row, by common practice


class VideoFile:
    """An open recording. Belongs to the thread that opened it; use it in a `with` block.

    Attributes
    ----------
    path : the file
    width, height : size in pixels as shown: upright, pixels square
    rotation_deg : clockwise turn applied to the stored picture: 0, 90, 180 or 270
    mirrored : whether it is then mirrored left to right
    index : presentation times of all frames
    duration_s : from the first shown frame to the end of the last one
    fps : median frame rate
    has_sound : whether there is a sound stream
    codec : short name of the picture's encoding
    capture_fps : rate at which a slow-motion clip was recorded, as told when it was opened, else
        where the phone wrote it down
    assumed_fps : frame rate all times rest on, where the file holds none; else None
    """

    def __init__(
        self,
        source: Source,
        index: FrameIndex,
        capture_fps: float | None = None,
        veil: Veil | None = None,
    ) -> None:
        self.path = source.path
        self.index = index
        # Sound of a slowed recording does not belong to the real seconds it is shown in.
        self.has_sound = source.has_sound and capture_fps is None
        self.capture_fps = capture_fps or source.capture_fps
        self.assumed_fps = source.assumed_fps
        self._told_fps = capture_fps
        self._veil = veil
        self.codec = source.stream.codec_context.codec.canonical_name
        self._source = source
        self._reader = FrameReader(source, index)
        first = self._reader.frame(0)
        self.turn = _turn_of(first)
        self._painter = Painter(self.turn, _pixel_shape(source))
        self.width, self.height = self._painter.shown_size(first)

    @classmethod
    def open(
        cls,
        path: str | Path,
        progress: Callable[[float], None] | None = None,
        cancelled: Callable[[], bool] | None = None,
        capture_fps: float | None = None,
        index: FrameIndex | None = None,
        veil: Veil | None = None,
        starts_s: float = 0.0,
    ) -> VideoFile:
        """Open a recording.

        Parameters
        ----------
        progress : called with a share from 0 to 1 while the index is read
        cancelled : asked now and then; True stops with a MediaError
        capture_fps : the rate a slow-motion recording was made at; every time is then in seconds
            of the real movement, and there is no sound
        index : its index where that was read before, taken as it is
        veil : what to hide at a time of the recording; no picture comes out of here without it
        starts_s : where its first shown frame stands on the clock it is wanted on

        Raises
        ------
        MediaError
            It is missing, empty, cut off, no recording, or has no picture.
        """
        source = open_steppable(path)
        try:
            if index is None:
                index = index_of(source, progress, cancelled)
                if capture_fps is not None:
                    index = in_real_seconds(index, rate_of(index), capture_fps)
                if starts_s != 0.0:
                    index = moved(index, starts_s)
            return cls(source, index, capture_fps, veil)
        except BaseException:
            source.close()
            raise

    def another(self) -> VideoFile:
        """The same recording opened once more, with a decoder of its own."""
        source = open_source(self._source.temporary or self.path)
        try:
            return VideoFile(source, self.index, self._told_fps, self._veil)
        except BaseException:
            source.close()
            raise

    def opened_again(self) -> Source:
        """The recording opened once more for its packets; whoever asks closes it.

        Raises
        ------
        MediaError
            It is gone.
        """
        return open_source(self._source.temporary or self.path)

    def another_painter(self) -> Painter:
        """What makes pictures of kept frames in another thread."""
        return Painter(self._painter.turn, self._painter.pixel_shape)

    @property
    def laid(self) -> tuple[Laid, ...]:
        """The recordings frames come from, and where each stands: one, or several shown as one."""
        return (Laid(self.path, self.index.start_s, self._told_fps),)

    @property
    def rotation_deg(self) -> int:
        """Clockwise turn applied to the stored picture: 0, 90, 180 or 270."""
        return self.turn.quarter_turns * 90

    @property
    def mirrored(self) -> bool:
        """Whether it is then mirrored left to right."""
        return self.turn.mirrored

    @property
    def duration_s(self) -> float:
        """From the first shown frame to the end of the last one."""
        return self.index.end_s

    @property
    def fps(self) -> float:
        """Median frame rate; containers that round to milliseconds are averaged around it."""
        return rate_of(self.index)

    def frame_rgb(self, i: int) -> NDArray[np.uint8]:
        """Frame `i` as (height, width, 3) RGB, upright, at full size.

        Raises
        ------
        IndexError
            There is no such frame.
        MediaError
            The file is damaged there or gone.
        """
        image = self._painter.rgb(self._frame(i))
        if image.shape[:2] != (self.height, self.width):  # the size changes within the recording
            cv2 = opencv()
            image = cv2.resize(image, (self.width, self.height), interpolation=cv2.INTER_AREA)
        return self.hidden(image, float(self.index.time_s[i]))

    def frame_grey(self, i: int) -> NDArray[np.uint8]:
        """Brightness of frame `i` as (height, width), upright, at full size; for measuring."""
        return self._painter.grey(self._frame(i))

    def frame_bgra(self, i: int, max_width: int, max_height: int) -> NDArray[np.uint8]:
        """Frame `i` as contiguous (h, w, 4) BGRA that fits the box, for the screen."""
        image = self._painter.bgra(self._frame(i), max_width, max_height)
        return self.hidden(image, float(self.index.time_s[i]))

    def small(
        self,
        i: int,
        max_width: int,
        max_height: int,
        passing: Callable[[int, Callable[[], SmallFrame]], bool] | None = None,
    ) -> SmallFrame:
        """Frame `i` at display size, for keeping; `finish` makes the picture of it.

        Parameters
        ----------
        passing : called with the number of each frame decoded on the way there and a function
            that gives it at display size; False stops

        Raises
        ------
        Interrupted
            `passing` said so.
        """

        def offer(j: int, frame: VideoFrame) -> bool:
            assert passing is not None
            return passing(j, lambda: self._small(j, frame, max_width, max_height))

        frame = self._frame(i, offer if passing is not None else None)
        return self._small(i, frame, max_width, max_height)

    def decoded(self, i: int, passing: Passing | None = None) -> VideoFrame:
        """Frame `i` as it was stored: not upright, at the size of its planes.

        Parameters
        ----------
        passing : called with each frame decoded on the way there; True goes on
        """
        return self._frame(i, passing)

    def finish(self, small: SmallFrame) -> NDArray[np.uint8]:
        """Contiguous (h, w, 4) BGRA picture of what `small` gave."""
        return self.hidden(self._painter.finish(small), small.time_s)

    def _small(self, i: int, frame: VideoFrame, max_width: int, max_height: int) -> SmallFrame:
        small = self._painter.small(frame, max_width, max_height)
        return replace(small, time_s=float(self.index.time_s[i]))

    def is_as_first(self, i: int) -> bool:
        """Whether frame `i` is stored as the first one is, which of several films it may not be."""
        return 0 <= i < len(self.index)

    def sound(self, start_s: float, end_s: float, rate_hz: int) -> NDArray[np.float32]:
        """Sound of a span, mono; as `read_sound`."""
        from app.media.sound import read_sound

        return read_sound(self.path, start_s, end_s, rate_hz, self.index)

    def hides_at(self, time_s: float) -> bool:
        """Whether something of the picture of a time is hidden."""
        return self._veil is not None and bool(self._veil(time_s))

    def hidden(self, image: NDArray[np.uint8], time_s: float) -> NDArray[np.uint8]:
        """Hide what is to be hidden in an upright picture that did not come from here.

        Parameters
        ----------
        image : (h, w, 3 or 4) uint8, of any size
        """
        if self._veil is None:
            return image
        return veiled(image, self._veil(time_s), (self.width, self.height))

    def hides(self, i: int) -> bool:
        """Whether something is hidden in frame `i`."""
        return self._veil is not None and bool(self._veil(float(self.index.time_s[i])))

    def is_damaged(self, i: int) -> bool:
        """Whether frame `i`, asked for before, was damaged or stands for one that was."""
        return i in self._reader.damaged

    def damage_at(self, i: int) -> str | None:
        """One sentence where frame `i` is not quite what was filmed, else None; decodes it.

        Raises
        ------
        MediaError
            Nothing near the frame can be decoded, or the file is gone.
        """
        frame = self._frame(i)
        damaged = self.is_damaged(i)
        # One stored out of order is also made from the next that is not.
        for j in range(i + 1, min(i + _MOST_BETWEEN, len(self.index))):
            if damaged or frame.pict_type != PictureType.B:
                break
            frame = self._frame(j)
            damaged = self.is_damaged(j)
        if not damaged:
            return None
        return (
            f"{self.path.name} is damaged at {self.index.time_s[i]:.2f} s: the picture is what "
            "could be decoded there, and may be smeared or one beside it; take another moment, or "
            "copy the film again from the camera."
        )

    def keep_recent(self, most_bytes: int) -> None:
        """Keep the frames asked for last, so that going back to one needs no key frame."""
        one = max(1, self.width * self.height * 3 // 2)
        self._reader.keep_recent(most_bytes // one)

    def frames_to(self, i: int) -> int:
        """How many frames have to be decoded to give frame `i` next."""
        return self._reader.frames_to(i)

    @property
    def seeks(self) -> int:
        """How often decoding had to start from a key frame."""
        return self._reader.seeks

    @property
    def frames_decoded(self) -> int:
        """How many frames have been decoded since this was opened."""
        return self._reader.decoded

    @property
    def temporary(self) -> Path | None:
        """The disposable copy frames come from, if one was needed; it goes when this closes."""
        return self._source.temporary

    def _frame(self, i: int, passing: Passing | None = None) -> VideoFrame:
        if not 0 <= i < len(self.index):
            raise IndexError(f"no frame {i}: there are {len(self.index)}")
        return self._reader.frame(i, passing)

    def close(self) -> None:
        """Close the file; safe to call twice."""
        self._source.close()

    def __enter__(self) -> VideoFile:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.close()


def first_picture(path: str | Path, max_width: int, max_height: int) -> NDArray[np.uint8] | None:
    """The first shown frame as `frame_bgra` gives it, without reading the index; None if unsure.

    What `VideoFile` says of the recording, and its refusals, are the word that counts.
    """
    try:
        with open_source(path) as source:
            frame = _first_frame(source)
            if frame is None or frame.is_corrupt:
                return None
            painter = Painter(_turn_of(frame), _pixel_shape(source))
            return painter.bgra(frame, max_width, max_height)
    except (MediaError, FFmpegError):
        return None


def _first_frame(source: Source) -> VideoFrame | None:
    for packet in source.packets():
        frames = source.stream.codec_context.decode(packet)
        if frames:
            return frames[0]
    return None


def _pixel_shape(source: Source) -> Fraction:
    """Width of a pixel over its height; a shape no camera has is taken for damage."""
    shape = source.stream.sample_aspect_ratio or Fraction(1)
    return shape if Fraction(1, 4) <= shape <= 4 else Fraction(1)


def _turn_of(frame: VideoFrame) -> Turn:
    try:
        matrix: Any = frame.side_data.get("DISPLAYMATRIX")
    except ValueError:
        # Spatial film carries data of a kind the library has no name for, and then lists none of
        # it. It tells the angle all the same, anticlockwise, though not a mirror.
        return Turn(round(-frame.rotation / 90) % 4)
    return turn_of_matrix(bytes(matrix)) if matrix is not None else Turn()
