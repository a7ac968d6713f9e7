"""What a bundle is made from: the film, the measured piece, and what is missing of them."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING

from analysis.force.curves import CurveSet
from analysis.force.piece import PieceAnalysis, Spread, analyse, summary
from analysis.force.target import (
    TargetComparison,
    TargetCurve,
    compare_target,
    hold_level,
    sample_target,
)
from analysis.force.trace import TraceError
from analysis.measures.measures import Measures
from analysis.signals.stroke import Stroke
from app.bundle.kept import Kept, kept_findings
from app.bundle.wording.words import Words
from app.review.errors import ReviewError
from app.review.parts.media import MediaRef
from app.review.parts.notes import Note
from app.review.recordings import (
    STRANGER,
    OtherRecording,
    RecordingAccess,
    is_reviewed,
    place_of,
)
from app.review.state import ReviewState

if TYPE_CHECKING:
    from analysis.force.coast_down import FlywheelModel
    from analysis.force.flywheel import WhatWouldChange


@dataclass(frozen=True)
class Sources:
    """The material of one bundle.

    Attributes
    ----------
    video : the film on this machine, or None
    piece : the force recording cut and measured, or None
    usual : mean and spread of each measure by its name
    target : the review's target, its level following the athlete's own where it should
    change : the athlete's mean and the target measured alike, or None
    flywheel : both rowed on a flywheel, or None
    kept : the findings the coach kept
    remarks : sentences for the athlete about what is missing
    trace : the force recording on this machine, or None
    """

    video: Path | None = None
    piece: PieceAnalysis | None = None
    usual: Mapping[str, Spread | None] = field(default_factory=dict)
    target: TargetCurve | None = None
    change: TargetComparison | None = None
    flywheel: WhatWouldChange | None = None
    kept: tuple[Kept, ...] = ()
    remarks: tuple[str, ...] = ()
    trace: Path | None = None


def gather(
    state: ReviewState,
    review_path: Path,
    words: Words,
    access: RecordingAccess = STRANGER,
    cancelled: Callable[[], bool] | None = None,
) -> Sources:
    """Find and read what the review refers to; what is missing becomes a remark, not an error.

    Every recording is compared whole with the one that was reviewed before it is used.

    Parameters
    ----------
    access : what may be read on this machine; what lies elsewhere counts as missing
    cancelled : asked while a recording is compared

    Raises
    ------
    OtherRecording
        Another one lies in the place of the one reviewed, and nobody said that it is meant.
    ReviewError
        The comparing was stopped.
    """
    asked = (review_path, words, access, cancelled)
    remarks: list[str] = []
    video = _find(state.video, remarks, *asked)
    trace = _find(state.trace, remarks, *asked)
    piece = _piece(state.trace, trace, words, remarks)
    remarks += _line_up(state, piece, words)
    usual = {} if piece is None else summary(piece)
    target, change = _aim(state.target, piece)
    return Sources(
        video,
        piece,
        usual,
        target,
        change,
        _on_flywheel(target, piece, usual, state.flywheel),
        kept_findings(state, piece),
        tuple(remarks),
        trace,
    )


def of_piece(state: ReviewState, piece: PieceAnalysis) -> Sources:
    """Give what a piece alone says, without looking for any file."""
    return Sources(piece=piece, usual=summary(piece), kept=kept_findings(state, piece))


def stroke_of(note: Note, state: ReviewState, piece: PieceAnalysis | None) -> Stroke | None:
    """Find the stroke a note belongs to: the one it names, else the one it falls in."""
    if piece is None:
        return None
    if note.stroke is not None:
        return next((s for s in piece.strokes if s.index == note.stroke), None)
    trace_s = trace_time(note.video_s, state)
    for stroke in piece.strokes:
        end_s = stroke.finish_s if stroke.next_catch_s is None else stroke.next_catch_s
        if stroke.catch_s <= trace_s < end_s:
            return stroke
    return None


def trace_time(video_s: float, state: ReviewState) -> float:
    """Trace seconds of a moment of the review; without a film its seconds are the trace's own."""
    return video_s if state.video is None else state.alignment.trace_time(video_s)


def video_time(trace_s: float, state: ReviewState) -> float:
    """Seconds of the review of a moment of the trace; the inverse of `trace_time`."""
    if state.video is None:
        return trace_s
    try:
        return state.alignment.video_time(trace_s)
    except ZeroDivisionError:  # a clock that stands still: no moment of the film is that one
        return math.inf


def measures_of(piece: PieceAnalysis, stroke: Stroke) -> Measures:
    """Give the measures of a stroke of the piece."""
    return piece.measures[piece.strokes.index(stroke)]


def curve_on(piece: PieceAnalysis | None, axis: str) -> CurveSet | None:
    """Give the piece's curves on an axis, None where there are none."""
    if piece is None:
        return None
    return piece.by_length if axis == "length" else piece.by_time


def _find(
    ref: MediaRef | None,
    remarks: list[str],
    review_path: Path,
    words: Words,
    access: RecordingAccess,
    cancelled: Callable[[], bool] | None,
) -> Path | None:
    """Find a recording that may be sent; the athlete is told where another one was meant."""
    if ref is None:
        return None
    path = place_of(ref, review_path, access).path
    try:
        same = path is not None and is_reviewed(ref, path, access.data_folder, cancelled)
    except ReviewError:
        if cancelled is not None and cancelled():
            raise
        path = None  # there, and not to be read
    if path is None:
        remarks.append(words[f"missing_{ref.kind}"])
    elif not same and not access.other_recording:
        raise OtherRecording(ref, review_path, path)
    elif not same:
        remarks.append(words[f"other_{ref.kind}"])
    return path


def _piece(
    ref: MediaRef | None, path: Path | None, words: Words, remarks: list[str]
) -> PieceAnalysis | None:
    if ref is None or path is None:
        return None
    from analysis.force.intake import read_trace

    try:
        piece = analyse(read_trace(path, ref.mapping))
    except (TraceError, OSError):
        # The reason names files of the coach's machine; the athlete needs only the fact.
        remarks.append(words["unreadable_trace"])
        return None
    if piece.by_time is None:
        remarks.append(words["no_whole_stroke"])
    return piece


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


def _line_up(state: ReviewState, piece: PieceAnalysis | None, words: Words) -> list[str]:
    """Say how far the line-up of film and force can be trusted."""
    if state.video is None or piece is None:
        return []
    said = []
    if state.alignment.method == "assumed":
        said.append(words["not_lined_up"])
    if state.alignment.ambiguous:
        said.append(words["ambiguous"])
    return said
