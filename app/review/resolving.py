"""From a stroke of a comparison to its recordings, wherever they lie."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from analysis.clocks.alignment import Alignment
from analysis.force.piece import PieceAnalysis
from analysis.signals.stroke import Stroke
from app.review.errors import ReviewError
from app.review.file.store import read_review
from app.review.parts.media import MediaRef
from app.review.parts.picture import PictureTurn
from app.review.recordings import (
    STRANGER,
    OtherRecording,
    OutsideRecording,
    RecordingAccess,
    confirm,
    find_again,
    find_other_review,
    name_of,
    place_of,
)
from app.review.references import read_reference
from app.review.state import ReviewState
from app.review.stroke_ref import StrokeRef, is_reference

# A stroke of the trace is that of the picture when they share this much of the drive.
_SHARED = 0.5


@dataclass(frozen=True)
class Resolved:
    """A stroke with all that is known of it.

    Attributes
    ----------
    stroke : as the comparison has it
    video : its footage on this machine, None where it has none
    turn, capture_fps : how that footage is shown, as its own review has it
    piece : its force recording cut and measured, None where it has none
    force_stroke : the stroke of the piece that is seen, None where that cannot be told
    alignment : from its footage's clock to its trace's
    state, review_path : the review it comes from
    remarks : sentences about what is missing
    """

    stroke: StrokeRef
    video: Path | None
    turn: PictureTurn
    capture_fps: float | None
    piece: PieceAnalysis | None
    force_stroke: Stroke | None
    alignment: Alignment
    state: ReviewState
    review_path: Path
    remarks: tuple[str, ...] = ()


def resolve(
    stroke: StrokeRef,
    state: ReviewState,
    review_path: Path,
    library: Path | None,
    piece: PieceAnalysis | None = None,
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
    piece : the force of this review, where it was cut already
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
    own = stroke.source == ""
    remarks: list[str] = []
    video = None
    if home.video is not None:
        video = find_recording(home.video, path, cancelled, access)
    if not own or piece is None:
        piece = _piece(home.trace, path, remarks, cancelled, access)
    force_stroke = None
    if piece is not None:
        if home.video is not None and home.alignment.method == "assumed":
            remarks.append(
                f"{_named(stroke)}: nobody lined up footage and force, so its curve is not shown."
            )
        else:
            force_stroke = stroke_seen(stroke, home, piece)
            if force_stroke is None:
                remarks.append(f"{_named(stroke)}: its force recording has no such stroke.")
    return Resolved(
        stroke,
        video,
        home.turn,
        None if home.video is None else home.video.capture_fps,
        piece,
        force_stroke,
        home.alignment,
        home,
        path,
        tuple(remarks),
    )


def find_recording(
    ref: MediaRef,
    review_path: Path,
    cancelled: Callable[[], bool] | None = None,
    access: RecordingAccess = STRANGER,
) -> Path:
    """Where a recording lies now, looked for by its content beside its review if it moved.

    It is compared whole with the one that was reviewed.

    Raises
    ------
    RecordingDoubt
        It is another one, or lies where nobody chose it to.
    ReviewError
        It is not there, with the words what to do.
    """
    place = place_of(ref, review_path, access)
    doubt: ReviewError | None = None
    if place.path is not None:
        try:
            confirm(ref, place.path, review_path, access, cancelled)
            return place.path
        except OtherRecording as other:
            doubt = other
    found = find_again(ref, review_path.parent, cancelled=cancelled)
    if found is not None:
        return found
    if place.outside is not None:
        doubt = OutsideRecording(ref, review_path, place.outside)
    raise doubt or ReviewError(
        f"The recording {name_of(ref.path)} of {name_of(review_path.name)} is not where it was; put"
        " it back into the folder of that review, and it is found whatever its name."
    )


def stroke_seen(stroke: StrokeRef, state: ReviewState, piece: PieceAnalysis) -> Stroke | None:
    """The stroke of the trace whose drive is the one seen; None where none shares half of it."""

    def on_trace(video_s: float) -> float:
        return video_s if state.video is None else state.alignment.trace_time(video_s)

    catch_s, finish_s = on_trace(stroke.catch_s), on_trace(stroke.finish_s)
    best, most = None, 0.0
    for other in piece.strokes:
        shared = min(finish_s, other.finish_s) - max(catch_s, other.catch_s)
        whole = max(finish_s, other.finish_s) - min(catch_s, other.catch_s)
        if whole > 0.0 and shared / whole > most:
            best, most = other, shared / whole
    return best if most >= _SHARED else None


def stroke_ref(stroke: Stroke, state: ReviewState, source: str = "", label: str = "") -> StrokeRef:
    """A stroke of a trace as a comparison refers to it.

    Raises
    ------
    ReviewError
        It has no next catch: its recovery has no end.
    """
    if stroke.next_catch_s is None:
        raise ReviewError("That stroke has no next catch; choose one that is followed by another.")

    def on_video(trace_s: float) -> float:
        return trace_s if state.video is None else state.alignment.video_time(trace_s)

    times = (stroke.catch_s, stroke.finish_s, stroke.next_catch_s)
    catch_s, finish_s, next_catch_s = map(on_video, times)
    return StrokeRef(source, catch_s, finish_s, next_catch_s, label)


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


def _piece(
    ref: MediaRef | None,
    review_path: Path,
    remarks: list[str],
    cancelled: Callable[[], bool] | None,
    access: RecordingAccess,
) -> PieceAnalysis | None:
    """Cut and measure the force; what is missing costs the curve, not the picture."""
    if ref is None:
        return None
    from analysis.force.intake import read_trace
    from analysis.force.piece import analyse
    from analysis.force.trace import TraceError

    try:
        path = find_recording(ref, review_path, cancelled, access)
        return analyse(read_trace(path, ref.mapping))
    except (ReviewError, TraceError, OSError) as error:
        remarks.append(f"There is no force to compare: {error}")
        return None


def _named(stroke: StrokeRef) -> str:
    return f"The stroke “{stroke.label}”" if stroke.label else "A stroke"
