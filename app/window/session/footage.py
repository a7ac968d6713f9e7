"""The film that is open: what is needed to show it, beside what the submission says of it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING

from app.submission.submission import FilmFacts

if TYPE_CHECKING:
    from app.media.courier import ShownFrame
    from app.media.index import FrameIndex
    from app.media.video import VideoFile


@dataclass(frozen=True)
class Footage:
    """A film that was opened; frames come from elsewhere.

    Attributes
    ----------
    facts : the same as the submission has
    capture_fps : told by the coach; every time is then in real seconds
    """

    path: Path
    facts: FilmFacts
    index: FrameIndex
    capture_fps: float | None = None
    opened: OpenFile = field(default_factory=lambda: OpenFile(None), compare=False, repr=False)

    @property
    def slowness(self) -> float:
        """Seconds the film lasts for each second on the footage's clock; 1 unless it was told."""
        index = self.index
        real_s = float(index.time_s[-1])
        film_s = float((index.pts[-1] - index.pts[0]) * index.time_base)
        return film_s / real_s if self.capture_fps is not None and real_s > 0 else 1.0


class OpenFile:
    """An open file on its way from the thread that opened it to the one that shows it."""

    def __init__(self, video: VideoFile | None) -> None:
        self._waiting = [] if video is None else [video]

    def take(self) -> VideoFile | None:
        """The open file, for the first who asks; closing it is then up to them."""
        return self._waiting.pop() if self._waiting else None


def load_footage(
    path: Path,
    capture_fps: float | None = None,
    progress: Callable[[float], None] | None = None,
    first: Callable[[ShownFrame], None] | None = None,
    cancelled: Callable[[], bool] | None = None,
) -> Footage:
    """Open a video file and take its facts.

    Parameters
    ----------
    capture_fps : the rate a slow-motion recording was made at; times are then real seconds
    progress : called with a share from 0 to 1 while the frames are counted
    first : called with the first frame before they are counted, where that takes a while
    cancelled : asked now and then; True stops with a MediaError

    Raises
    ------
    MediaError
        The file cannot be shown; the message says why.
    """
    from app.media.video import VideoFile
    from app.media.worker import early_frame

    if first is not None and (frame := early_frame(path)) is not None:
        first(frame)
    video = VideoFile.open(path, progress, cancelled, capture_fps=capture_fps)
    return Footage(path, FilmFacts.of(video), video.index, capture_fps, OpenFile(video))
