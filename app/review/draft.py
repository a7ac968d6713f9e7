"""What can be prepared before a coach looks: notes on what was found, and a target curve."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from analysis.clocks.alignment import Alignment, Pair
from analysis.findings.find import find
from analysis.findings.finding import Finding
from analysis.force.piece import PieceAnalysis
from analysis.force.target import TargetCurve, hold_level, steady_rowing
from analysis.force.trace import ForceTrace
from analysis.measures.measures import Measures
from analysis.signals.stroke import Stroke
from app.review.finding_notes import finding_note
from app.review.parts.findings import Decision
from app.review.parts.media import MediaRef
from app.review.parts.notes import Note, new_note
from app.review.state import ReviewState

MOST_FAULTS = 3


@dataclass(frozen=True)
class Drafting:
    """What a draft starts from.

    Attributes
    ----------
    piece : the force recording cut and measured, or None
    alignment, pairs : how the two clocks stand; "assumed" when nobody marked a pair
    footage_s : how long the footage is in seconds, None without footage
    findings : what was found, the most important first; None: what the force alone shows
    """

    title: str = ""
    athlete: str = ""
    video: MediaRef | None = None
    trace: MediaRef | None = None
    piece: PieceAnalysis | None = None
    alignment: Alignment = field(default_factory=Alignment)
    pairs: tuple[Pair, ...] = ()
    footage_s: float | None = None
    findings: tuple[Finding, ...] | None = None


def draft_state(start: Drafting) -> ReviewState:
    """Prepare a review from what was found, marked as a draft no coach has seen.

    The findings to talk about become notes as if they had been kept: a good sign first, then
    three faults at most. Without a fault the notes say what the typical stroke measured.
    """
    notes, decisions, faults = _found(start)
    if not faults:
        notes = _in_time((*notes, *_notes(start)))
    return ReviewState(
        title=start.title,
        athlete=start.athlete,
        video=start.video,
        trace=start.trace,
        alignment=start.alignment,
        pairs=start.pairs,
        notes=notes,
        decisions=decisions,
        target=_target(start.piece),
        draft=True,
    )


def findings_to_show(findings: Sequence[Finding]) -> tuple[Finding, ...]:
    """Choose what to talk about: one good sign, then the faults that lead."""
    good = [finding for finding in findings if finding.good][:1]
    leading = [finding for finding in findings if finding.lead and not finding.good]
    return (*good, *leading[:MOST_FAULTS])


def _found(start: Drafting) -> tuple[tuple[Note, ...], tuple[Decision, ...], bool]:
    """Give the notes of the findings, the decisions in order of rank, and if there are faults."""
    if start.piece is not None and stroke_to_show(start) is None:
        return (), (), False  # nothing the footage shows: the notes say why
    findings = start.findings
    if findings is None:
        alignment = None if start.footage_s is None else start.alignment
        findings = find(start.piece, alignment)
    notes, decisions = [], []
    shown = findings_to_show(findings)
    for finding in shown:
        note = _in_footage(finding_note(finding), finding, start)
        notes.append(note)
        decisions.append(Decision(finding.code, True, note.id))
    return _in_time(notes), tuple(decisions), any(not finding.good for finding in shown)


def _in_time(notes: Sequence[Note]) -> tuple[Note, ...]:
    return tuple(sorted(notes, key=lambda note: note.video_s))


def _in_footage(note: Note, finding: Finding, start: Drafting) -> Note:
    """Move a note to a stroke the footage shows whole, to the same moment of its drive."""
    if start.footage_s is None:
        return note
    strokes = {} if start.piece is None else {s.index: s for s in start.piece.strokes}
    clearest = None if note.stroke is None else strokes.get(note.stroke)
    trace_s = finding.where.trace_s
    if clearest is not None and trace_s is not None and not _is_in_footage(clearest, start):
        share = (trace_s - clearest.catch_s) / (clearest.finish_s - clearest.catch_s)
        for other in (strokes[i] for i in finding.strokes if i in strokes):
            if _is_in_footage(other, start):
                at_s = other.catch_s + share * (other.finish_s - other.catch_s)
                note = replace(note, video_s=_review_s(at_s, start), stroke=other.index)
                break
    return replace(note, video_s=min(max(note.video_s, 0.0), start.footage_s))


def stroke_to_show(start: Drafting) -> Stroke | None:
    """Return the stroke nearest the mean curve whose drive the footage shows whole.

    Without footage every stroke counts. None when there is no such stroke.
    """
    piece = start.piece
    curves = None if piece is None else piece.by_time
    if piece is None or curves is None:
        return None
    apart = np.sqrt(((curves.rows - curves.mean) ** 2).mean(axis=1))
    apart[curves.outlying] = np.inf
    strokes = {stroke.index: stroke for stroke in piece.strokes}
    for row in np.argsort(apart, kind="stable"):
        stroke = strokes[curves.stroke_indices[int(row)]]
        if np.isfinite(apart[row]) and _is_in_footage(stroke, start):
            return stroke
    return None


def _is_in_footage(stroke: Stroke, start: Drafting) -> bool:
    if start.footage_s is None:
        return True
    catch_s, finish_s = _review_s(stroke.catch_s, start), _review_s(stroke.finish_s, start)
    return catch_s >= 0.0 and finish_s < start.footage_s


def _review_s(trace_s: float, start: Drafting) -> float:
    """Video seconds; without footage a review runs on the trace's own clock."""
    return trace_s if start.footage_s is None else start.alignment.video_time(trace_s)


def _notes(start: Drafting) -> tuple[Note, ...]:
    piece, stroke = start.piece, stroke_to_show(start)
    if piece is None:
        return (new_note(0.0, "No force recording came with this footage: nothing was measured."),)
    if stroke is None:
        return (new_note(_first_moment(start), _why_no_stroke(piece)),)
    measures = piece.measures[piece.strokes.index(stroke)]
    moments = (
        (stroke.catch_s, "catch", _catch_text(stroke, measures, piece.strokes)),
        (peak_s(piece.trace, stroke), "drive", _peak_text(measures)),
        (stroke.finish_s, "finish", _finish_text(measures)),
    )
    return tuple(
        new_note(_review_s(trace_s, start), text, phase=phase, stroke=stroke.index)
        for trace_s, phase, text in moments
    )


def _first_moment(start: Drafting) -> float:
    if start.footage_s is not None or start.piece is None:
        return 0.0
    return float(start.piece.trace.time_s[0])


def _why_no_stroke(piece: PieceAnalysis) -> str:
    if not piece.strokes:
        return "No stroke was found in the force recording."
    if piece.by_time is None:
        return "No stroke of the force recording is whole, so none was averaged."
    return "The footage shows none of the averaged strokes whole; the two may not be lined up."


def peak_s(trace: ForceTrace, stroke: Stroke) -> float:
    """Trace seconds of the highest force of a stroke's drive."""
    first, last = np.searchsorted(trace.time_s, (stroke.catch_s, stroke.finish_s))
    if last <= first:
        return stroke.catch_s
    return float(trace.time_s[first + int(np.argmax(trace.force_n[first:last]))])


def _catch_text(stroke: Stroke, measures: Measures, strokes: Sequence[Stroke]) -> str:
    parts = [f"Catch of stroke {stroke.index + 1} of {len(strokes)}, the one nearest the mean."]
    if measures.rate_spm is not None:
        parts.append(f"Stroke rate {measures.rate_spm:.1f} per minute.")
    return " ".join(parts)


def _peak_text(measures: Measures) -> str:
    if measures.peak_n is None:
        return "Peak force."
    text = f"Peak force {measures.peak_n:.0f} N"
    if measures.time_to_peak_pct is not None:
        text += f", reached after {measures.time_to_peak_pct:.0f} % of the drive time"
    if measures.mean_to_peak is not None:
        text += f"; mean-to-peak ratio {measures.mean_to_peak:.2f}"
    return text + "."


def _finish_text(measures: Measures) -> str:
    if measures.drive_s is None:
        return "Finish."
    text = f"Finish. Drive time {measures.drive_s:.2f} s"
    if measures.recovery_s is not None and measures.rhythm is not None:
        text += f", recovery time {measures.recovery_s:.2f} s (1 : {measures.rhythm:.1f})"
    return text + "."


def _target(piece: PieceAnalysis | None) -> TargetCurve | None:
    """Steady rowing with the athlete's own impulse: a shape to talk about, not more force."""
    if piece is None or piece.by_time is None:
        return None
    return hold_level(steady_rowing("time"), piece.by_time.mean)
