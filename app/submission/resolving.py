"""From a stroke of a comparison to its recordings, wherever they lie."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from app.review.file.store import read_review
from app.review.parts.state import ReviewState
from app.review.recordings import STRANGER, RecordingAccess, find_other_review
from app.review.references import read_reference
from app.review.values.errors import ReviewError
from app.review.values.stroke_ref import StrokeRef, is_reference
from app.submission.clock import ReviewClock
from app.submission.load import load
from app.submission.rowed_stroke import RowedStroke
from app.submission.submission import LoadedSubmission

if TYPE_CHECKING:
    from analysis.force.piece import PieceAnalysis
    from analysis.measures.rowed_piece import RowedPiece
    from analysis.signals.stroke import Stroke
    from app.media.laid import Laid
    from app.review.parts.picture import PictureTurn

# A stroke of the trace is that of the picture when they share this much of the drive.
_SHARED = 0.5


@dataclass(frozen=True, eq=False)
class Resolved:
    """A stroke of a submission.

    Attributes
    ----------
    stroke : as the comparison has it
    submission : what it belongs to
    force_stroke : the stroke of the force that is seen, None where that cannot be told
    rowed : that stroke, or of a film alone the one followed in it, in what it was rowed in
    remarks : sentences about what is missing
    """

    stroke: StrokeRef
    submission: LoadedSubmission
    force_stroke: Stroke | None = None
    remarks: tuple[str, ...] = ()
    rowed: RowedStroke | None = None

    @property
    def state(self) -> ReviewState:
        """The review it comes from."""
        return self.submission.state

    @property
    def review_path(self) -> Path:
        """Where that review lies."""
        return self.submission.review_path

    @property
    def clock(self) -> ReviewClock:
        """From its review's clock to its force recording's."""
        return self.submission.clock

    @property
    def video(self) -> Path | None:
        """Its footage on this machine, None where it has none."""
        return self.submission.video_path

    @property
    def reel(self) -> tuple[Laid, ...]:
        """Its films that are shown as one, the first among them."""
        return self.submission.reel

    @property
    def capture_fps(self) -> float | None:
        """The rate its footage was recorded at, where its review says so."""
        return None if self.state.video is None else self.state.video.capture_fps

    @property
    def turn(self) -> PictureTurn:
        """How its footage is shown, as its own review has it."""
        return self.state.turn

    @property
    def piece(self) -> PieceAnalysis | None:
        """Its force recording cut and measured, None where it has none."""
        return self.submission.piece


def resolve(
    stroke: StrokeRef,
    state: ReviewState,
    review_path: Path,
    library: Path | None,
    cancelled: Callable[[], bool] | None = None,
    access: RecordingAccess = STRANGER,
) -> Resolved:
    """Find the recordings of a stroke and cut its force.

    Recordings that moved are looked for in the folder of their review by size and SHA-256; each
    is compared whole with the one reviewed.

    Parameters
    ----------
    state, review_path : the review that holds the comparison
    library : the folder of reference strokes, None where there is none
    access : what may be read on this machine

    Raises
    ------
    RecordingDoubt
        The footage is another one, or it or its review lies where nobody chose it to.
    ReviewError
        Another review or a reference stroke cannot be read, or footage it had is gone; one
        sentence says which and what to do.
    """
    home, path = _review_of(stroke.source, state, Path(review_path), library, access)
    found = load(home, path, access=access, search=True, cancelled=cancelled)
    film, force = found.film, found.force
    if film is not None and film.missing is not None and film.missing.error is not None:
        raise film.missing.error
    if force is None:
        return Resolved(stroke, found, rowed=rowed_stroke(stroke, found))
    if force.piece is None:
        why = "" if force.missing is None else force.missing.said
        return Resolved(stroke, found, None, (f"There is no force to compare: {why}",))
    if not found.clock.is_lined_up:
        said = "nobody lined up footage and force, so its curve is not shown."
        return Resolved(stroke, found, None, (f"{_named(stroke)}: {said}",))
    seen = stroke_seen(stroke, home, force.piece)
    if seen is None:
        said = f"{_named(stroke)}: its force recording has no such stroke."
        return Resolved(stroke, found, None, (said,))
    return Resolved(stroke, found, seen, rowed=RowedStroke(force.piece, seen, found.signals))


def rowed_stroke(stroke: StrokeRef, sent: LoadedSubmission) -> RowedStroke | None:
    """The stroke of a submission that is seen, in what it was rowed in; None where none is known.

    Of the force where it is lined up with the film; of a film alone the one followed in it.
    """
    piece = sent.rowed
    if piece is None or not (sent.from_picture or sent.clock.is_lined_up):
        return None
    seen = _seen(stroke, sent.stroke_clock, piece)
    return None if seen is None else RowedStroke(piece, seen, sent.signals)


def stroke_seen(stroke: StrokeRef, state: ReviewState, piece: PieceAnalysis) -> Stroke | None:
    """The stroke of the trace whose drive is the one seen; None where none shares half of it."""
    return _seen(stroke, ReviewClock.of(state), piece)


def _seen(stroke: StrokeRef, clock: ReviewClock, piece: RowedPiece) -> Stroke | None:
    catch_s, finish_s = clock.trace_time(stroke.catch_s), clock.trace_time(stroke.finish_s)
    best, most = None, 0.0
    for other in piece.strokes:
        shared = min(finish_s, other.finish_s) - max(catch_s, other.catch_s)
        whole = max(finish_s, other.finish_s) - min(catch_s, other.catch_s)
        if whole > 0.0 and shared / whole > most:
            best, most = other, shared / whole
    return best if most >= _SHARED else None


def stroke_ref(stroke: Stroke, state: ReviewState, source: str = "", label: str = "") -> StrokeRef:
    """A stroke of a trace, or one followed in the film, as a comparison refers to it.

    Raises
    ------
    ReviewError
        It has no next catch, so that its recovery has no end; or the film has no moment of it.
    """
    if stroke.next_catch_s is None:
        raise ReviewError("That stroke has no next catch; choose one that is followed by another.")
    seen = stroke.source == "body"
    clock = ReviewClock() if seen else ReviewClock.of(state)
    if not clock.runs:
        raise ReviewError("That stroke is nowhere in the footage; line up footage and force first.")
    if clock.in_force.further and not clock.shows(stroke):
        raise ReviewError("The film leaves that stroke out, or cuts it; choose another one.")
    times = (stroke.catch_s, stroke.finish_s, stroke.next_catch_s)
    catch_s, finish_s, next_catch_s = map(clock.review_time, times)
    return StrokeRef(source, catch_s, finish_s, next_catch_s, label, on_force=not seen)


def _review_of(
    source: str,
    state: ReviewState,
    review_path: Path,
    library: Path | None,
    access: RecordingAccess,
) -> tuple[ReviewState, Path]:
    if source == "":
        return state, review_path
    if is_reference(source):
        if library is None:
            raise ReviewError("There is no library of reference strokes on this machine.")
        kept = read_reference(library, source)
        return kept.state, kept.path
    path = find_other_review(source, review_path, access)
    return read_review(path), path


def _named(stroke: StrokeRef) -> str:
    return f"The stroke “{stroke.label}”" if stroke.label else "A stroke"
