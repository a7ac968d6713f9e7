"""The command `findings`."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from app.commands.answer import Answer
from app.commands.tables import sections_data, sections_text, table

if TYPE_CHECKING:
    from analysis.clocks.alignment import Alignment
    from analysis.findings.finding import Finding
    from app.submission.submission import LoadedSubmission


def findings(options: argparse.Namespace) -> Answer:
    """Say what force and body show, and when in the footage it can be seen."""
    from app.submission.kinds import kind_of
    from app.submission.named import recordings_of

    with recordings_of(options.video or (), None) as films:
        if options.trace is None:
            return _found(options, films)
        # Of a folder that holds the force as well, the force that is named counts.
        shown = [f for f in films if f in options.video or kind_of(f) == "video"]
        return _found(options, [*shown, options.trace])


def _found(options: argparse.Namespace, files: Sequence[Path]) -> Answer:
    from app.commands.body import with_body
    from app.commands.intake import films_data, said_of_line_up, take_in

    together = take_in(options, files, None)
    sent, said = with_body(together.sent, options)
    films = films_data(together)
    said = (*together.films_said, *said)
    if sent.piece is None:
        return _answer(sent, None, said, films)
    remarks = [*said, *(remark.said for remark in sent.noticed if remark.said)]
    alignment, judged = sent.clock.for_findings, together.judged
    if judged is not None and not sent.state.pairs:
        alignment = judged.alignment
        remarks += said_of_line_up(judged)
        if alignment is None:
            sent = _without_films(sent)
    if sent.piece is not None and not sent.piece.strokes:
        remarks.append("No stroke was found in the force recording.")
    return _answer(sent, alignment, remarks, films)


def _without_films(sent: LoadedSubmission) -> LoadedSubmission:
    """The force alone: nothing is known of the moments of its films."""
    state = replace(sent.state, video=None, films=())
    return replace(sent, state=state, films=(), body=None)


def need_one(options: argparse.Namespace) -> str:
    """Say what is wrong with a call of `findings`, "" where nothing is."""
    if options.trace is None and not options.video:
        return "give a force recording, footage with --video, or both"
    if options.pair and (options.trace is None or not options.video):
        return "--pair needs both a video and a trace"
    if options.points and not options.video:
        return "--points needs the video they were followed in"
    return ""


def _answer(
    sent: LoadedSubmission,
    alignment: Alignment | None,
    remarks: Sequence[str],
    films: list[dict[str, Any]],
) -> Answer:
    found, said = sent.findings, [*remarks, *(remark.said for remark in sent.raised.remarks)]
    data: dict[str, Any] = {
        "findings": [finding.as_dict() for finding in found],
        "alignment": None if alignment is None else alignment.as_data(),
        "films": films,
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
