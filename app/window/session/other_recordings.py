"""Recordings whose strokes can be compared: the bench's own, another review's, the library's."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from app.review.parts.state import ReviewState
from app.review.values.stroke_ref import StrokeRef, is_reference
from app.submission.resolving import resolve, rowed_stroke, stroke_ref
from app.submission.rowed_stroke import RowedStroke
from app.submission.submission import LoadedSubmission
from app.window.session.footage import Footage, load_footage
from app.window.session.known_recordings import access
from app.window.session.review_session import ReviewSession
from app.window.session.settings import data_folder

if TYPE_CHECKING:
    from analysis.force.piece import PieceAnalysis
    from analysis.signals.stroke import Stroke

# A stroke nobody has timed yet: common practice, no source. The coach moves the events by hand.
DRIVE_S = 0.9
STROKE_S = 2.5


@dataclass(frozen=True, eq=False)
class Same:
    """A piece that equals itself only: its arrays have no one truth to compare."""

    piece: object

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Same) and other.piece is self.piece

    def __hash__(self) -> int:
        return id(self.piece)


@dataclass(frozen=True, eq=False)
class Recording:
    """One recording, ready to be compared.

    Attributes
    ----------
    source : as in `StrokeRef`
    name : whose it is, for labels and lists
    footage : its film, open; None where it has none
    remarks : sentences about what is missing
    """

    source: str
    name: str
    submission: LoadedSubmission
    footage: Footage | None = None
    remarks: tuple[str, ...] = ()

    @property
    def state(self) -> ReviewState:
        """The review it belongs to."""
        return self.submission.state

    @property
    def piece(self) -> PieceAnalysis | None:
        """Its force, cut and measured."""
        return self.submission.piece

    def strokes(self) -> tuple[Stroke, ...]:
        """The strokes that can be compared: whole ones, with another behind them."""
        known = self.submission.strokes
        return tuple(s for s in known if not s.remark and s.next_catch_s is not None)

    def typical(self) -> int | None:
        """Index of the stroke nearest to the mean curve."""
        piece = self.submission.rowed
        return None if piece is None or piece.by_time is None else piece.by_time.typical

    def odd(self) -> tuple[int, ...]:
        """Indices of the strokes unlike the rest."""
        piece = self.submission.rowed
        curves = piece.by_time if piece is not None else None
        if curves is None:
            return ()
        pairs = zip(curves.stroke_indices, curves.outlying, strict=True)
        return tuple(i for i, odd in pairs if odd)

    def video_s(self, trace_s: float) -> float:
        """Video seconds of a moment on the clock of the strokes."""
        return self.submission.stroke_clock.review_time(trace_s)

    def ref(self, stroke: Stroke) -> StrokeRef:
        """How a comparison refers to one of `strokes`."""
        number = f"stroke {stroke.index + 1}"
        label = f"{self.name} · {number}" if self.name else number.capitalize()
        return stroke_ref(stroke, self.state, self.source, label)

    @property
    def is_lined_up(self) -> bool:
        """Whether it is known which stroke of the force a stroke of the picture is."""
        return self.submission.clock.is_lined_up

    def rowed(self, ref: StrokeRef) -> RowedStroke | None:
        """The stroke that is seen, in what it was rowed in; None where that is not known."""
        return rowed_stroke(ref, self.submission)

    def guess(self, from_s: float) -> StrokeRef:
        """A stroke from a moment on, where none is known; its events are set by hand then."""
        start_s = from_s
        if self.footage is not None:
            start_s = min(from_s, float(self.footage.index.time_s[-1]) - STROKE_S)
        start_s = max(start_s, 0.0)
        return StrokeRef(
            self.source, start_s, start_s + DRIVE_S, start_s + STROKE_S, self.name or "This stroke"
        )

    def close(self) -> None:
        """Let go of the film if nobody shows it."""
        video = self.footage.opened.take() if self.footage is not None else None
        if video is not None:
            video.close()


def library_folder() -> Path:
    """Where the coach's reference strokes lie."""
    return data_folder() / "references"


def own_recording(session: ReviewSession) -> Recording:
    """What lies on the bench."""
    return Recording("", _who_and_when(session.state, ""), session.submission, session.footage)


def load_recording(ref: StrokeRef, state: ReviewState, review_path: Path) -> Recording:
    """Open the recording a stroke of another review or of the library belongs to.

    Parameters
    ----------
    state, review_path : the review that compares with it

    Raises
    ------
    ValueError
        It is gone or cannot be used; the message says what to do.
    """
    found = resolve(ref, state, review_path, library_folder(), access=access())
    footage = load_footage(found.video, found.capture_fps) if found.video is not None else None
    theirs = found.state
    if theirs.reference is not None and is_reference(ref.source):
        name = theirs.reference.name
    else:
        name = _who_and_when(theirs, found.review_path.stem)
    return Recording(ref.source, name, found.submission, footage, found.remarks)


def _who_and_when(state: ReviewState, otherwise: str) -> str:
    return " · ".join(filter(None, (state.athlete, state.title or otherwise)))
