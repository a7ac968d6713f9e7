"""The films that are open: what is needed to show them, beside what the submission says of them."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING

from app.media.laid import Laid
from app.submission.loaded_film import FilmFacts

if TYPE_CHECKING:
    from app.media.courier import ShownFrame
    from app.media.index import FrameIndex
    from app.media.video import VideoFile


@dataclass(frozen=True)
class Footage:
    """A film that was opened, with those shown as one with it; frames come from elsewhere.

    Attributes
    ----------
    path, facts, own : of the first film; the same facts as the submission has
    index : the frames of all of them, on the clock of the first
    capture_fps : told by the coach; every time is then in real seconds
    more : the further films, each with its frames on that clock
    """

    path: Path
    facts: FilmFacts
    index: FrameIndex
    capture_fps: float | None = None
    more: tuple[tuple[Laid, FrameIndex], ...] = ()
    own_index: FrameIndex | None = None
    opened: OpenFile = field(default_factory=lambda: OpenFile(None), compare=False, repr=False)

    @property
    def own(self) -> FrameIndex:
        """The frames of the first film alone."""
        return self.index if self.own_index is None else self.own_index

    @property
    def reel(self) -> tuple[Laid, ...]:
        """All of the films, for whoever opens them as one (`app/media/reel.py`)."""
        return Laid(self.path, 0.0, self.capture_fps), *(film for film, _index in self.more)

    @property
    def has_sound(self) -> bool:
        """Whether any of the films has sound that belongs to its picture."""
        return self.facts.has_sound or any(film.capture_fps is None for film, _index in self.more)

    @property
    def slowness(self) -> float:
        """Seconds the film lasts for each second on the footage's clock; 1 unless it was told."""
        index = self.own
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
    more: Sequence[Laid] = (),
) -> Footage:
    """Open a video file and take its facts, with those that are shown as one with it.

    Parameters
    ----------
    capture_fps : the rate a slow-motion recording was made at; times are then real seconds
    progress : called with a share from 0 to 1 while the frames are counted
    first : called with the first frame before they are counted, where that takes a while
    cancelled : asked now and then; True stops with a MediaError
    more : further films on its clock

    Raises
    ------
    MediaError
        One of the files cannot be shown; the message says why.
    """
    from app.media.video import VideoFile
    from app.media.worker import early_frame

    if first is not None and (frame := early_frame(path)) is not None:
        first(frame)
    if more:
        return _as_one((Laid(path, 0.0, capture_fps), *more), progress, cancelled)
    video = VideoFile.open(path, progress, cancelled, capture_fps=capture_fps)
    facts = FilmFacts.of(video)
    return Footage(path, facts, video.index, capture_fps, opened=OpenFile(video))


def _as_one(
    films: Sequence[Laid],
    progress: Callable[[float], None] | None,
    cancelled: Callable[[], bool] | None,
) -> Footage:
    from app.media.reel import Reel, open_reel

    reel = open_reel(films, progress=progress, cancelled=cancelled)
    assert isinstance(reel, Reel)
    first, *further = reel.films
    laid = tuple((film, opened.index) for film, opened in zip(films[1:], further, strict=True))
    return Footage(
        films[0].path,
        FilmFacts.of(first),
        reel.index,
        films[0].capture_fps,
        laid,
        first.index,
        OpenFile(reel),
    )
