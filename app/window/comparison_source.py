"""Recordings whose strokes can be compared: the bench's own, another review's, the library's."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from analysis.clocks.alignment import Alignment
from app.review.comparison import PictureFit, StrokeRef
from app.review.errors import ReviewError
from app.review.state import ReviewState
from app.window.desk import Desk
from app.window.material import Footage, Force, Material, load_footage, load_force
from app.window.stroke_clock import StrokeClock

if TYPE_CHECKING:
    from analysis.force.piece import PieceAnalysis
    from analysis.force.strokes import Stroke

# A stroke nobody has timed yet: common practice, no source. The coach moves the events by hand.
DRIVE_S = 0.9
STROKE_S = 2.5


@dataclass(frozen=True)
class Recording:
    """One recording, ready to be compared.

    Attributes
    ----------
    source : as in `StrokeRef`
    name : whose it is, for labels and lists
    only : the one stroke it was kept for (the library); None where any may be taken
    """

    source: str
    name: str
    material: Material
    alignment: Alignment
    only: StrokeRef | None = None

    @property
    def piece(self) -> PieceAnalysis | None:
        """Its strokes and their measures, where it has force."""
        force = self.material.force
        return None if force is None else force.piece

    def strokes(self) -> tuple[Stroke, ...]:
        """The strokes that can be compared: those that are whole."""
        piece = self.piece
        return () if piece is None else tuple(s for s in piece.strokes if not s.remark)

    def typical(self) -> int | None:
        """Index of the stroke nearest to the mean curve."""
        piece = self.piece
        return None if piece is None or piece.by_time is None else piece.by_time.typical

    def odd(self) -> tuple[int, ...]:
        """Indices of the strokes unlike the rest."""
        curves = self.piece.by_time if self.piece is not None else None
        if curves is None:
            return ()
        pairs = zip(curves.stroke_indices, curves.outlying, strict=True)
        return tuple(i for i, odd in pairs if odd)

    def ref(self, stroke: Stroke) -> StrokeRef:
        """How a comparison refers to one of the strokes."""
        piece = self.piece
        if piece is None:
            raise ReviewError("This recording has no force file, so its strokes are not known.")
        span = StrokeClock(piece, self.alignment).span_of(stroke)
        finish_s = self.alignment.video_time(stroke.finish_s)
        label = f"{self.name}, stroke {stroke.index + 1}" if self.name else ""
        return StrokeRef(
            self.source, span.start_s, finish_s, span.end_s, label or f"Stroke {stroke.index + 1}"
        )

    def stroke_of(self, ref: StrokeRef) -> Stroke | None:
        """The stroke of the force file that a reference means, however it was moved by hand."""
        middle_s = self.alignment.trace_time((ref.catch_s + ref.finish_s) / 2)
        for stroke in self.strokes():
            if stroke.catch_s <= middle_s <= stroke.finish_s:
                return stroke
        return None

    def rowed(self, ref: StrokeRef) -> tuple[PieceAnalysis, Stroke] | None:
        """The piece and the stroke of it that a reference means, where there is force."""
        piece, stroke = self.piece, self.stroke_of(ref)
        return None if piece is None or stroke is None else (piece, stroke)

    def guess(self, from_s: float) -> StrokeRef:
        """A stroke from a moment on, where none is known; its events are set by hand then."""
        footage = self.material.footage
        end_s = float(footage.index.time_s[-1]) if footage is not None else from_s + STROKE_S
        start_s = max(min(from_s, end_s - STROKE_S), 0.0)
        return StrokeRef(
            self.source, start_s, start_s + DRIVE_S, start_s + STROKE_S, self.name or "Left"
        )

    def close(self) -> None:
        """Let go of the film if nobody shows it."""
        footage = self.material.footage
        video = footage.opened.take() if footage is not None else None
        if video is not None:
            video.close()


def own_recording(desk: Desk) -> Recording:
    """What lies on the bench."""
    state = desk.state
    return Recording("", state.athlete or state.title, desk.material, state.alignment)


def whole_in(left: Footage | None, right: Footage | None) -> PictureFit:
    """Lay the right picture whole into the left one, before anybody said how they fit."""
    if left is None or right is None:
        return PictureFit()
    scale = min(left.width / right.width, left.height / right.height)
    return PictureFit(
        False,
        scale,
        (left.width - scale * right.width) / 2,
        (left.height - scale * right.height) / 2,
    )


def load_recording(source: str, state: ReviewState, place: Path, name: str = "") -> Recording:
    """Open the recordings of another review.

    Parameters
    ----------
    place : where that review lies

    Raises
    ------
    ValueError
        Neither its footage nor its force can be used; the message says what to do.
    """
    from app.review.recordings import locate

    footage: Footage | None = None
    force: Force | None = None
    problems = []
    for ref in (state.video, state.trace):
        path = locate(ref, place) if ref is not None else None
        if ref is None:
            continue
        if path is None:
            problems.append(f"{Path(ref.path).name} is not where {place.name} says it is.")
            continue
        try:
            if ref.kind == "video":
                footage = load_footage(path, ref.capture_fps)
            else:
                force = load_force(path, ref.mapping)
        except (ValueError, OSError) as error:
            problems.append(str(error))
    if footage is None and force is None:
        why = problems[0] if problems else f"{place.name} names no recordings."
        raise ReviewError(f"{why} Open that review and find its recordings, then choose it again.")
    shown = name or " ".join(filter(None, (state.athlete, state.title or place.stem)))
    return Recording(source, shown, Material(footage, force), state.alignment)


def from_review(path: Path, source: str) -> Recording:
    """Open another review's recordings; raises ValueError with a sentence when it cannot."""
    from app.review.store import read_review

    return load_recording(source, read_review(path), path)


def load_source(source: str, review_path: Path | None) -> Recording:
    """Open what a stroke's `source` names, as seen from a review.

    Raises
    ------
    ValueError
        It is gone or cannot be used; the message says what to do.
    """
    place = Path(source)
    if review_path is not None and not place.is_absolute():
        place = review_path.absolute().parent / place
    if not place.is_file():
        raise ReviewError(
            f"{place.name} is not where it was; put it back, or choose another stroke to compare."
        )
    return from_review(place, source)
