"""What lies on the bench: the footage's facts and the piece's numbers, loaded off the window."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING

from analysis.clocks.alignment import Alignment
from analysis.force.trace import ColumnMapping
from app.window.session.playhead import Span

if TYPE_CHECKING:
    from analysis.force.intake import Preview
    from analysis.force.piece import PieceAnalysis
    from app.media.courier import ShownFrame
    from app.media.index import FrameIndex
    from app.media.video import VideoFile

TRACE_ENDINGS = frozenset({".csv", ".txt", ".tsv", ".tab", ".dat", ".asc"})


@dataclass(frozen=True)
class Footage:
    """The facts of a video file that the window needs; frames come from elsewhere."""

    path: Path
    width: int
    height: int
    index: FrameIndex
    fps: float
    has_sound: bool = False
    capture_fps: float | None = None  # told by the coach; every time is then in real seconds
    opened: Opened = field(default_factory=lambda: Opened(None), compare=False, repr=False)

    @property
    def slowness(self) -> float:
        """Seconds the film lasts for each second on the footage's clock; 1 unless it was told."""
        index = self.index
        real_s = float(index.time_s[-1])
        film_s = float((index.pts[-1] - index.pts[0]) * index.time_base)
        return film_s / real_s if self.capture_fps is not None and real_s > 0 else 1.0


class Opened:
    """An open file on its way from the thread that opened it to the one that shows it."""

    def __init__(self, video: VideoFile | None) -> None:
        self._waiting = [] if video is None else [video]

    def take(self) -> VideoFile | None:
        """The open file, for the first who asks; closing it is then up to them."""
        return self._waiting.pop() if self._waiting else None


@dataclass(frozen=True)
class Force:
    """A force file and what its piece holds."""

    path: Path
    piece: PieceAnalysis
    mapping: ColumnMapping


@dataclass(frozen=True)
class OpenRecordings:
    """Footage, force, or both."""

    footage: Footage | None = None
    force: Force | None = None

    def span(self, alignment: Alignment) -> Span:
        """Video seconds over which there is anything to see."""
        ends = []
        if self.footage is not None:
            ends.append(Span(0.0, float(self.footage.index.time_s[-1])))
        if self.force is not None:
            time_s = self.force.piece.trace.time_s
            ends.append(
                Span(
                    alignment.video_time(float(time_s[0])), alignment.video_time(float(time_s[-1]))
                )
            )
        if not ends:
            return Span(0.0, 0.0)
        return Span(min(s.start_s for s in ends), max(s.end_s for s in ends))


class Question(ValueError):
    """A force file whose layout cannot be inferred: ask the coach once."""

    def __init__(self, path: Path, preview: Preview) -> None:
        super().__init__(f"{path.name} does not say how to read it.")
        self.path = path
        self.preview = preview


def is_trace_name(path: Path) -> bool:
    """Whether a file's ending says delimited text."""
    return path.suffix.lower() in TRACE_ENDINGS


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
    return Footage(
        path,
        video.width,
        video.height,
        video.index,
        video.fps,
        video.has_sound,
        capture_fps,
        Opened(video),
    )


def load_force(path: Path, mapping: ColumnMapping | None) -> Force:
    """Read a force file and cut it into strokes.

    Raises
    ------
    Question
        The layout cannot be inferred and no mapping was given.
    TraceError
        The file cannot be used; the message says why.
    """
    from analysis.force.intake import MappingNeeded
    from app.submission.pieces import piece_of

    try:
        piece = piece_of(path, mapping)
    except MappingNeeded as needed:
        raise Question(path, needed.preview) from needed
    if piece.trace.intake is None:  # pragma: no cover - reading a file always reports
        raise ValueError(f"{path.name} was read without a report.")
    return Force(path, piece, piece.trace.intake.mapping)
