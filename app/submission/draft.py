"""What can be prepared before a coach looks: notes on what was found, and a target curve."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from analysis.findings.finding import Finding
from analysis.force.coast_down import FlywheelModel
from analysis.force.peak_power import power_of_piece
from analysis.force.piece import PieceAnalysis
from analysis.force.target import TargetCurve, steady_rowing
from analysis.force.target_proposal import highest_peak, propose
from analysis.force.trace import ForceTrace
from analysis.measures.measures import Measures
from analysis.signals.stroke import Stroke
from app.review.finding_notes import finding_note
from app.review.parts.findings import Decision
from app.review.parts.notes import Note, new_note
from app.review.parts.state import ReviewState
from app.submission.body import LoadedBody
from app.submission.clock import ReviewClock
from app.submission.submission import LoadedSubmission

MOST_FAULTS = 3
Films = Sequence[tuple[float, float]]


def draft_state(sent: LoadedSubmission, findings: Sequence[Finding] | None = None) -> ReviewState:
    """Prepare a review from what was found, marked as a draft no coach has seen.

    The findings to talk about become notes as if they had been kept: a good sign first, then
    three faults at most. Without a fault the notes say what the typical stroke measured.

    Parameters
    ----------
    findings : the most important first; None: what the submission shows
    """
    found = sent.findings if findings is None else findings
    notes, decisions, faults = _found(sent, found)
    if not faults:
        notes = _in_time((*notes, *_notes(sent)))
    return replace(
        sent.state,
        notes=notes,
        decisions=decisions,
        target=_target(sent.main_piece, sent.flywheel),
        draft=True,
    )


def findings_to_show(findings: Sequence[Finding]) -> tuple[Finding, ...]:
    """Choose what to talk about: one good sign, then the faults that lead."""
    good = [finding for finding in findings if finding.good][:1]
    leading = [finding for finding in findings if finding.lead and not finding.good]
    return (*good, *leading[:MOST_FAULTS])


def _found(
    sent: LoadedSubmission, findings: Sequence[Finding]
) -> tuple[tuple[Note, ...], tuple[Decision, ...], bool]:
    """Give the notes of the findings, the decisions in order of rank, and if there are faults."""
    if sent.piece is not None and typical_stroke(sent) is None:
        return (), (), False  # nothing the footage shows: the notes say why
    notes, decisions = [], []
    shown = findings_to_show(findings)
    for finding in shown:
        note = _in_footage(finding_note(finding), finding, sent)
        notes.append(note)
        decisions.append(Decision(finding.code, True, note.id))
    return _in_time(notes), tuple(decisions), any(not finding.good for finding in shown)


def _in_time(notes: Sequence[Note]) -> tuple[Note, ...]:
    return tuple(sorted(notes, key=lambda note: note.video_s))


def _in_footage(note: Note, finding: Finding, sent: LoadedSubmission) -> Note:
    """Move a note to a stroke the footage shows whole, to the same moment of its drive."""
    clock, films = sent.clock, filmed(sent)
    if films is None:
        return note
    strokes = {} if sent.piece is None else {s.index: s for s in sent.piece.strokes}
    clearest = None if note.stroke is None else strokes.get(note.stroke)
    trace_s = finding.where.trace_s
    if clearest is not None and trace_s is not None and not _shown(clearest, clock, films):
        share = (trace_s - clearest.catch_s) / (clearest.finish_s - clearest.catch_s)
        for other in (strokes[i] for i in finding.strokes if i in strokes):
            if _shown(other, clock, films):
                at_s = other.catch_s + share * (other.finish_s - other.catch_s)
                note = replace(note, video_s=clock.review_time(at_s), stroke=other.index)
                break
    return replace(note, video_s=_nearest(note.video_s, films))


def typical_stroke(sent: LoadedSubmission) -> Stroke | None:
    """Return the stroke of a submission to show, as `stroke_to_show`."""
    films = filmed(sent)
    found = stroke_to_show(sent.main_piece, sent.clock, films)
    # Footage may show another section only.
    return found or stroke_to_show(sent.piece, sent.clock, films)


def stroke_to_show(
    piece: PieceAnalysis | None, clock: ReviewClock, films: Films | None
) -> Stroke | None:
    """Return the stroke nearest the mean curve whose drive the footage shows whole.

    Parameters
    ----------
    films : from when until when films run; None without footage: every stroke counts then

    Returns
    -------
    None when there is no such stroke.
    """
    curves = None if piece is None else piece.by_time
    if piece is None or curves is None:
        return None
    apart = np.sqrt(((curves.rows - curves.mean) ** 2).mean(axis=1))
    apart[curves.outlying] = np.inf
    strokes = {stroke.index: stroke for stroke in piece.strokes}
    for row in np.argsort(apart, kind="stable"):
        stroke = strokes[curves.stroke_indices[int(row)]]
        if np.isfinite(apart[row]) and _shown(stroke, clock, films):
            return stroke
    return None


def _shown(stroke: Stroke, clock: ReviewClock, films: Films | None) -> bool:
    """Whether one film shows a whole drive."""
    if films is None:
        return clock.runs
    catch_s, finish_s = clock.review_time(stroke.catch_s), clock.review_time(stroke.finish_s)
    return clock.shows(stroke) and any(
        begin_s <= catch_s and finish_s < end_s for begin_s, end_s in films
    )


def _nearest(review_s: float, films: Films) -> float:
    """The moment of a film that lies nearest to a moment of the review."""
    held = [min(max(review_s, begin_s), end_s) for begin_s, end_s in films]
    return min(held, key=lambda moment_s: abs(moment_s - review_s))


def filmed(sent: LoadedSubmission) -> Films | None:
    """From when until when the films that are shown as one run, s of the review; None without."""
    shown = [f for f in sent.films if f is sent.film or (f.role == "part" and f.path is not None)]
    facts = [(film.starts_s, film.facts) for film in shown]
    found = tuple((starts_s, starts_s + f.duration_s) for starts_s, f in facts if f is not None)
    return found or None


def _notes(sent: LoadedSubmission) -> tuple[Note, ...]:
    piece, stroke = sent.piece, typical_stroke(sent)
    if piece is None:
        return _notes_of_body(sent.body)
    if stroke is None:
        return (new_note(_first_moment(sent), _why_no_stroke(piece)),)
    measures = piece.measures[piece.strokes.index(stroke)]
    moments = (
        (stroke.catch_s, "catch", _catch_text(stroke, measures, piece.strokes)),
        (peak_s(piece.trace, stroke), "drive", _peak_text(measures)),
        (stroke.finish_s, "finish", _finish_text(measures)),
    )
    return tuple(
        new_note(sent.clock.review_time(trace_s), text, phase=phase, stroke=stroke.index)
        for trace_s, phase, text in moments
    )


def _notes_of_body(body: LoadedBody | None) -> tuple[Note, ...]:
    """What the picture alone measured, at the first whole stroke of it."""
    whole = [] if body is None else [s for s in body.strokes if not s.remark]
    rate = None if body is None else body.usual["rate_spm"]
    drive = None if body is None else body.usual["drive_s"]
    typical = None if body is None else body.typical
    if typical is None or rate is None or drive is None:
        return (new_note(0.0, "No force recording came with this footage: nothing was measured."),)
    text = (
        f"From the picture, {len(whole)} whole strokes, stroke rate {rate.mean:.1f} per minute. "
        f"Drive time {drive.mean:.2f} s from where the hands turn. No force recording came with "
        "this footage."
    )
    return (new_note(typical.catch_s, text, stroke=typical.index),)


def _first_moment(sent: LoadedSubmission) -> float:
    if sent.clock.has_film or sent.piece is None:
        return 0.0
    return float(sent.piece.trace.time_s[0])


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


def _target(piece: PieceAnalysis | None, flywheel: FlywheelModel) -> TargetCurve | None:
    """Steady rowing with the athlete's own impulse: a shape to talk about, not more force."""
    if piece is None or piece.by_time is None:
        return None
    curves, power = piece.by_time, power_of_piece(piece, "time", flywheel)
    return propose(steady_rowing("time"), curves.mean, highest_peak(curves), power).target
