"""What a bundle is made from: the submission, and what the page derives from it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Final

from analysis.force.curves import CurveSet
from analysis.force.piece import PieceAnalysis, Spread
from analysis.force.target import (
    TargetComparison,
    TargetCurve,
    compare_target,
    hold_level,
    sample_target,
)
from analysis.signals.stroke import Stroke
from app.bundle.sources.kept import Kept, kept_findings
from app.bundle.wording.words import Words
from app.review.parts.notes import Note
from app.review.parts.state import ReviewState
from app.review.recordings import STRANGER, OtherRecording, RecordingAccess
from app.submission.body import LoadedBody
from app.submission.clock import ReviewClock
from app.submission.load import load
from app.submission.my_defaults import MyDefaults
from app.submission.remarks import Code
from app.submission.submission import LoadedSubmission

if TYPE_CHECKING:
    from analysis.body.order import Order
    from analysis.body.track import BodyTrack
    from analysis.force.coast_down import FlywheelModel
    from analysis.force.flywheel import WhatWouldChange
    from app.media.laid import Laid

# What an athlete is told. How the coach's own files were read is nothing to them.
TOLD: Final[tuple[Code, ...]] = (
    "missing_video",
    "missing_trace",
    "other_video",
    "other_trace",
    "unreadable_trace",
    "no_whole_stroke",
    "not_lined_up",
    "ambiguous",
    "rough",
    "body_no_strokes",
    "body_no_angles",
)


@dataclass(frozen=True)
class Sources:
    """The submission of one bundle and what is derived from it for the page.

    Attributes
    ----------
    target : the review's target, its level following the athlete's own where it should
    change : the athlete's mean and the target measured alike, or None
    flywheel : both rowed on a flywheel, or None
    kept : the findings the coach kept
    """

    submission: LoadedSubmission
    target: TargetCurve | None = None
    change: TargetComparison | None = None
    flywheel: WhatWouldChange | None = None
    kept: tuple[Kept, ...] = ()

    @property
    def clock(self) -> ReviewClock:
        """What moment of the review is what moment of the force recording."""
        return self.submission.clock

    @property
    def video(self) -> Path | None:
        """The film on this machine, or None."""
        return self.submission.video_path

    @property
    def reel(self) -> tuple[Laid, ...]:
        """The films that are shown as one, the first among them; none where that is missing."""
        return self.submission.reel

    @property
    def trace(self) -> Path | None:
        """The force recording on this machine, or None."""
        return self.submission.trace_path

    @property
    def piece(self) -> PieceAnalysis | None:
        """The force recording cut and measured, or None."""
        return self.submission.piece

    @property
    def main(self) -> PieceAnalysis | None:
        """The piece within its longest section: what mean curve and target are of."""
        return self.submission.main_piece

    @property
    def body(self) -> LoadedBody | None:
        """What the film shows of the body, or None."""
        return self.submission.body

    @property
    def from_picture(self) -> bool:
        """Whether strokes and measures come from the picture, for want of a force."""
        return self.submission.from_picture

    @property
    def shown_track(self) -> BodyTrack | None:
        """The followed body where the coach wants it drawn over what is sent of the film."""
        wanted = self.submission.state.sending.skeleton
        return self.body.track if wanted and self.body is not None else None

    @property
    def shown_order(self) -> Order | None:
        """The order of movement; None where it is unknown or nobody lined it up with the force."""
        if self.body is None or not (self.from_picture or self.clock.is_lined_up):
            return None
        return self.body.order

    @property
    def usual(self) -> Mapping[str, Spread | None]:
        """Mean and spread of each measure within the longest section, by its name."""
        return self.submission.usual

    def remarks(self, words: Words) -> tuple[str, ...]:
        """Sentences for the athlete about what is missing."""
        said = (words[r.code] for r in self.submission.remarks if r.code in TOLD)
        return tuple(dict.fromkeys(said))


def gather(
    state: ReviewState,
    review_path: Path,
    access: RecordingAccess = STRANGER,
    cancelled: Callable[[], bool] | None = None,
    body: LoadedBody | None = None,
    mine: MyDefaults | None = None,
) -> Sources:
    """Find and read what the review refers to; what is missing becomes a remark, not an error.

    Every recording is compared whole with the one that was reviewed before it is used.

    Parameters
    ----------
    access : what may be read on this machine; what lies elsewhere counts as missing
    cancelled : asked while a recording is compared
    body : what was followed in the film, for a review that does not keep it itself
    mine : what the coach settled for all reviews; None for what this user did

    Raises
    ------
    OtherRecording
        Another one lies in the place of the one reviewed, and nobody said that it is meant.
    ReviewError
        The comparing was stopped.
    """
    sent = load(state, review_path, access=access, mine=mine, cancelled=cancelled)
    for doubt in sent.doubts:
        if isinstance(doubt, OtherRecording):
            raise doubt
    if body is not None and sent.body is None and sent.video_path is not None:
        sent = replace(sent, body=body)
    return sources_of(sent)


def sources_of(sent: LoadedSubmission) -> Sources:
    """Derive what the page shows of a submission."""
    target, change = _aim(sent.state.target, sent.main_piece)
    wheel = _on_flywheel(target, sent.main_piece, sent.usual, sent.flywheel)
    return Sources(sent, target, change, wheel, kept_findings(sent))


def stroke_of(note: Note, sent: LoadedSubmission) -> Stroke | None:
    """Find the stroke a note belongs to: the one it names, else the one it falls in."""
    if note.stroke is None:
        return sent.stroke_at(note.video_s)
    return next((s for s in sent.strokes if s.index == note.stroke), None)


def curve_on(piece: PieceAnalysis | None, axis: str) -> CurveSet | None:
    """Give the piece's curves on an axis, None where there are none."""
    if piece is None:
        return None
    return piece.by_length if axis == "length" else piece.by_time


def _aim(
    target: TargetCurve | None, piece: PieceAnalysis | None
) -> tuple[TargetCurve | None, TargetComparison | None]:
    curve = None if target is None else curve_on(piece, target.axis)
    if target is None or curve is None:
        return target, None
    target = hold_level(target, curve.mean)
    return target, compare_target(target, curve.mean, curve.mean_span)


def _on_flywheel(
    target: TargetCurve | None,
    piece: PieceAnalysis | None,
    usual: Mapping[str, Spread | None],
    flywheel: FlywheelModel,
) -> WhatWouldChange | None:
    """Row the mean curve and the target on a flywheel; None where that cannot be told."""
    curve = None if target is None else curve_on(piece, target.axis)
    rate = usual.get("rate_spm")
    if target is None or curve is None or rate is None:
        return None
    from analysis.force.coast_down import FlywheelError
    from analysis.force.flywheel import what_would_change

    try:
        return what_would_change(
            curve.mean, sample_target(target), target.axis, curve.mean_span, rate.mean, flywheel
        )
    except FlywheelError:
        return None
