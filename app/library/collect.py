"""From a review and its submission to what the library keeps of them."""

from __future__ import annotations

import contextlib
from collections.abc import Sequence
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING

from app.library.summaries import (
    AnswerSummary,
    PrescriptionSummary,
    RecordingSummary,
    ReviewSummary,
)
from app.review.answers import bundle_mark
from app.review.finding_notes import CUE, DOSE, DRILL, FILM, UNTIL
from app.review.parts.films import all_recordings
from app.review.parts.sending import sent_notes

if TYPE_CHECKING:
    from analysis.findings.finding import Finding
    from analysis.following_up.summaries import FindingSummary, PieceSummary, SectionSummary
    from app.review.parts.state import ReviewState
    from app.submission.submission import LoadedSubmission


def summary_of(state: ReviewState, path: Path | None, sent: LoadedSubmission) -> ReviewSummary:
    """Sum up a review.

    Parameters
    ----------
    state : with its identity
    path : where its file lies; None while it has none
    sent : its submission, in this state
    """
    refs = all_recordings(state)
    return ReviewSummary(
        review_id=state.review_id,
        athlete=state.athlete,
        title=state.title,
        draft=state.draft,
        path=_place(path),
        submission_id=bundle_mark(state) if refs else "",
        recordings=tuple(RecordingSummary(r.kind, r.sha256, r.size, r.path) for r in refs),
        consent=state.sending.consent,
        minor=state.sending.minor,
        notes=len(state.notes),
        piece=piece_summary(sent),
        kept=tuple((d.code, d.kept) for d in state.decisions),
        prescriptions=prescriptions_of(state, sent.findings),
        answers=answers_of(state),
    )


def _place(path: Path | None) -> str:
    """Where a file lies; "" where its name is no text, which no database takes."""
    place = "" if path is None else str(path.absolute())
    try:
        place.encode()
    except UnicodeEncodeError:
        return ""
    return place


def piece_summary(sent: LoadedSubmission) -> PieceSummary:
    """Sum up measures and findings of a submission."""
    from analysis.findings.finding import FORCE, PICTURE
    from analysis.following_up.summaries import PieceSummary

    body_counts = sent.body is not None and (sent.piece is None or sent.clock.is_lined_up)
    looked = ((FORCE,) if sent.piece is not None else ()) + ((PICTURE,) if body_counts else ())
    strokes = sent.strokes
    source = "" if not strokes else "force" if sent.piece is not None else "body"
    return PieceSummary(
        source=source,
        sections=_sections(sent),
        findings=_findings(sent),
        rowed_on=_rowed_on(sent),
        looked_at=looked,
        unjudged=_unjudged(sent) if body_counts else (),
    )


def prescriptions_of(
    state: ReviewState, findings: Sequence[Finding] = ()
) -> tuple[PrescriptionSummary, ...]:
    """Give what the athlete is told to change: the notes of kept findings, and those with a cue.

    Only what is sent counts. How much, until when and what to film stand in lines of the note, or
    of the words on the next session, that begin so (`finding_notes`); a drill of the catalogue
    that says nothing has its usual dose.
    """
    titles = {finding.code: finding for finding in findings}
    codes = {d.note_id: d.code for d in state.decisions if d.kept}
    sent = sent_notes(state.sending, state.notes)
    following = state.sending.next_session
    told = []
    for note in state.notes if sent is None else sent:
        cue, drill = _line(note.text, CUE), _line(note.text, DRILL)
        code = codes.get(note.id, "")
        finding = titles.get(code)
        if (finding is not None and finding.good) or not (code or cue or drill):
            continue
        title = (note.text.splitlines() or [""])[0] if finding is None else finding.title
        told.append(
            PrescriptionSummary(
                note.id, code, title, cue, drill,
                _line(note.text, DOSE) or _usual_dose(code, drill, finding),
                _line(note.text, UNTIL) or _line(following, UNTIL),
                _line(note.text, FILM) or _line(following, FILM) or following.strip(),
            )
        )  # fmt: skip
    return tuple(told)


def _usual_dose(code: str, drill: str, finding: Finding | None) -> str:
    """The dose the page gives a drill of the catalogue; the coach's own says its own."""
    from analysis.findings.doses import DOSES

    known = finding is not None and drill == finding.drill.strip()
    return DOSES[code].said if known and drill and code in DOSES else ""


def answers_of(state: ReviewState) -> tuple[AnswerSummary, ...]:
    """Sum up what came back."""
    return tuple(
        AnswerSummary(
            a.id, a.received, sum(t.done for t in a.ticks), sum(not t.done for t in a.ticks),
            a.comment,
        )
        for a in state.answers
    )  # fmt: skip


def _line(note: str, begin: str) -> str:
    found = (line.removeprefix(begin) for line in note.splitlines() if line.startswith(begin))
    return next(found, "").strip()


def _sections(sent: LoadedSubmission) -> tuple[SectionSummary, ...]:
    from analysis.following_up.summaries import section_summary

    if sent.piece is not None:
        piece = sent.piece
        cut = sent.sections or (None,)
        return tuple(section_summary(piece.strokes, piece.measures, section) for section in cut)
    if sent.body is not None and sent.body.strokes:
        return (section_summary(sent.body.strokes, sent.body.measures),)
    return ()


def _findings(sent: LoadedSubmission) -> tuple[FindingSummary, ...]:
    """What was found, and in how many strokes also what too few of them show."""
    raised = sent.findings
    codes = {finding.code for finding in raised}
    rare = [finding for finding in _shown_by_any(sent) if finding.code not in codes]
    return tuple(
        [_finding(sent, finding, True) for finding in raised]
        + [_finding(sent, finding, False) for finding in rare if not finding.good]
    )


def _finding(sent: LoadedSubmission, finding: Finding, raised: bool) -> FindingSummary:
    from analysis.following_up.prescribed import OF_PIECE
    from analysis.following_up.summaries import FindingSummary

    cut = sent.sections
    shown = [sum(section.holds(i) for i in finding.strokes) for section in cut]
    return FindingSummary(
        code=finding.code,
        title=finding.title,
        phase=finding.phase,
        share=finding.share,
        severity=finding.severity,
        in_sections=tuple(shown) if cut else (len(finding.strokes),),
        raised=raised,
        whole_piece=finding.code in OF_PIECE,
        good=finding.good,
        lead=finding.lead and raised,
        seen_in=finding.seen_in,
        value=finding.evidence.value,
        unit=finding.evidence.unit,
    )


def _shown_by_any(sent: LoadedSubmission) -> tuple[Finding, ...]:
    """What any stroke shows, so that it can be told later what became rare."""
    from analysis.findings.catalogue import read_catalogue
    from analysis.findings.find import find
    from app.submission.findings import thresholds_of

    if sent.piece is None and sent.body is None:
        return ()
    limits = thresholds_of(sent.state.thresholds, sent.mine.thresholds)[0]
    limits = limits.with_changes({"share-from": 0.01})
    series = None
    if sent.body is not None and (sent.piece is None or sent.clock.is_lined_up):
        series = sent.body.series
    words = read_catalogue()
    return tuple(find(sent.piece, sent.clock.for_findings, series, limits, words, sent.sections))


def _unjudged(sent: LoadedSubmission) -> tuple[str, ...]:
    from analysis.findings.body_rules import BODY_RULES
    from analysis.findings.doubt import unjudged
    from app.submission.findings import thresholds_of

    if sent.body is None:
        return ()
    limits = thresholds_of(sent.state.thresholds, sent.mine.thresholds)[0]
    return unjudged(sent.body.series, sent.body.strokes, BODY_RULES, limits)


def _rowed_on(sent: LoadedSubmission) -> str:
    """The day the oldest of the recordings was last written, "" where none is at hand."""
    written = []
    for part in sent.recordings:
        if part.path is not None:
            with contextlib.suppress(OSError):
                written.append(part.path.stat().st_mtime)
    return datetime.fromtimestamp(min(written), UTC).date().isoformat() if written else ""
