"""The command `findings`, and lining up by itself where nobody gave a moment of both clocks."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from dataclasses import asdict, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from analysis.clocks.alignment import ROUGH, Alignment, AlignmentError
from analysis.clocks.keeping_step import MOST_NONE
from app.commands.answer import Answer, line_up
from app.commands.tables import sections_data, sections_text, table

if TYPE_CHECKING:
    from analysis.findings.finding import Finding
    from analysis.force.piece import PieceAnalysis
    from app.submission.submission import LoadedSubmission

NOT_LINED_UP = (
    "Footage and force show nothing in common, so it is not known when the footage shows a "
    "finding; give a moment of both with --pair VIDEO_S:TRACE_S."
)
NOT_TOGETHER = (
    "Footage and force do not keep step: probably another piece. The force was not laid under the "
    "film; if they are of one piece, give a moment of both with --pair VIDEO_S:TRACE_S."
)
UNPROVEN = (
    "Footage and force may not be of one piece: what keeps step is too little, or too even, to "
    "tell. The force was not laid under the film; if they are, give a moment of both with --pair "
    "VIDEO_S:TRACE_S."
)
AMBIGUOUS = (
    "The line-up of footage and force is not sure: another stroke, or none, may fit as well; look "
    "before you trust the times of the footage."
)
SLOW = (
    "The footage runs {times:.3g} times slower than life; its times are those of the footage as "
    "it plays."
)


def findings(options: argparse.Namespace) -> Answer:
    """Say what force and body show, and when in the footage it can be seen."""
    from app.commands.body import with_body
    from app.commands.intake import said_by
    from app.submission.load import begin_with

    sent = begin_with(options.video, options.trace, None, said_by(options))
    sent, said = with_body(sent, options)
    if sent.piece is None:
        return _answer(sent, None, said)
    remarks = [*said, *(remark.said for remark in sent.noticed if remark.said)]
    alignment = sent.clock.for_findings
    if sent.film is not None and not sent.state.pairs:
        alignment, said = line_up_or_say(options.video, sent.piece)
        remarks += said
    if not sent.piece.strokes:
        remarks.append("No stroke was found in the force recording.")
    return _answer(_on_line(sent, alignment), alignment, remarks)


def line_up_or_say(video: Path, piece: PieceAnalysis) -> tuple[Alignment | None, tuple[str, ...]]:
    """Line up by what both show; None where nothing fits, and what there is to say about it."""
    try:
        found = line_up(video, piece.trace, piece.strokes)
    except AlignmentError:
        return None, (NOT_LINED_UP,)
    if found.verdict == "not together":
        return None, (NOT_TOGETHER,)
    if found.verdict != "lined up" and found.step.none >= MOST_NONE:
        return None, (UNPROVEN,)
    said: tuple[str, ...] = (AMBIGUOUS,) if found.alignment.ambiguous else ()
    if found.sides:
        from analysis.clocks.cuts import said_of_sides

        said += (said_of_sides(found),)
    if found.alignment.is_rough:
        said += (ROUGH.format(how_sure=found.alignment.how_sure),)
    if found.slow_motion != 1.0:
        said += (SLOW.format(times=found.slow_motion),)
    return found.alignment, said


def lined_up(sent: LoadedSubmission) -> tuple[LoadedSubmission, tuple[str, ...]]:
    """Line up what was taken in without a pair; what shows nothing in common stays as it was.

    Returns
    -------
    The submission, and what there is to say about it.
    """
    from app.commands.intake import ASSUMED, said_of

    video, piece = sent.video_path, sent.piece
    if video is None or piece is None or sent.state.pairs:
        return sent, said_of(sent)
    alignment, said = line_up_or_say(video, piece)
    if alignment is None:
        # That both are assumed to start together is no longer so where they are not of one piece.
        apart = tuple(one for one in said if one in (NOT_TOGETHER, UNPROVEN))
        return sent, (*(one for one in said_of(sent) if not apart or one != ASSUMED), *apart)
    sent = _on_line(sent, alignment)
    return sent, (*said_of(sent), *said)


def _on_line(sent: LoadedSubmission, alignment: Alignment | None) -> LoadedSubmission:
    """The submission lined up so; without a line-up nothing is known of its film's moments."""
    if alignment is None:
        return replace(sent, state=replace(sent.state, video=None), films=(), body=None)
    return replace(sent, state=replace(sent.state, alignment=alignment))


def need_one(options: argparse.Namespace) -> str:
    """Say what is wrong with a call of `findings`, "" where nothing is."""
    if options.trace is None and options.video is None:
        return "give a force recording, footage with --video, or both"
    if options.pair and (options.trace is None or options.video is None):
        return "--pair needs both a video and a trace"
    if options.points and options.video is None:
        return "--points needs the video they were followed in"
    return ""


def _answer(sent: LoadedSubmission, alignment: Alignment | None, remarks: Sequence[str]) -> Answer:
    found, said = sent.findings, [*remarks, *(remark.said for remark in sent.raised.remarks)]
    data: dict[str, Any] = {
        "findings": [finding.as_dict() for finding in found],
        "alignment": None if alignment is None else asdict(alignment),
        "remarks": said,
        "sections": sections_data(sent.piece, sent.sections),
    }
    return Answer(data, "\n".join([*_text(found), *sections_text(sent.sections), *said]))


def _text(found: Sequence[Finding]) -> list[str]:
    if not found:
        return ["Nothing was found that a coach would speak about."]
    rows = [
        (
            f.code,
            f"{100.0 * f.share:.0f} %",
            f"{100.0 * f.severity:.0f}",
            _seconds(f.where.trace_s),
            _seconds(f.where.video_s),
            f"{f.title} (a good sign)" if f.good else f.title,
        )
        for f in found
    ]
    lines = [table(("code", "strokes", "severity", "trace s", "video s", "finding"), rows)]
    for f in found:
        if f.lead:
            e = f.evidence
            lines.append(
                f"\n{f.title}: {e.measure} {e.value:.3g} {e.unit} (from {e.threshold:.3g}). "
                f"{f.rank_reason}\n  Cue: {f.cue}\n  Drill: {f.drill}"
                + (f"\n  With care: {f.caution}" if f.caution else "")
            )
    return [*lines, *dict.fromkeys(remark for f in found for remark in f.remarks)]


def _seconds(value: float | None) -> str:
    return "–" if value is None else f"{value:.2f}"
