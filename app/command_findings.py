"""The command `findings`, and lining up by itself where nobody gave a moment of both clocks."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from dataclasses import asdict, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from analysis.clocks.alignment import Alignment, AlignmentError, Pair, align_by_pairs
from app.command_answer import Answer, line_up, read_force
from app.command_tables import table

if TYPE_CHECKING:
    from analysis.findings.finding import Finding
    from analysis.force.piece import PieceAnalysis
    from app.command_intake import TakenIn

PICTURE_ALONE = (
    "The picture alone cannot be judged yet: findings need a force recording, or points followed "
    "on the body."
)
NOT_LINED_UP = (
    "Footage and force show nothing in common, so it is not known when the footage shows a "
    "finding; give a moment of both with --pair VIDEO_S:TRACE_S."
)
AMBIGUOUS = (
    "The line-up of footage and force fits another stroke nearly as well; look before you trust "
    "the times of the footage."
)
SLOW = (
    "The footage runs {times:.3g} times slower than life; its times are those of the footage as "
    "it plays."
)


def findings(options: argparse.Namespace) -> Answer:
    """Say what the force shows, and when in the footage it can be seen."""
    if options.video is not None:
        from app.media.video import VideoFile

        with VideoFile.open(options.video) as video:
            frame_s = 1.0 / video.fps
    if options.trace is None:
        return _answer((), None, (PICTURE_ALONE,))
    from analysis.findings.find import find
    from analysis.force.piece import analyse

    piece = analyse(read_force(options.trace, options))
    remarks = [] if piece.trace.intake is None else list(piece.trace.intake.remarks)
    alignment = None
    if options.video is not None:
        if options.pair:
            pairs = tuple(Pair(*moments) for moments in options.pair)
            alignment = align_by_pairs(pairs, frame_s, piece.trace.interval_s)
        else:
            alignment, said = line_up_or_say(options.video, piece)
            remarks += said
    if not piece.strokes:
        remarks.append("No stroke was found in the force recording.")
    return _answer(find(piece, alignment), alignment, remarks)


def line_up_or_say(video: Path, piece: PieceAnalysis) -> tuple[Alignment | None, tuple[str, ...]]:
    """Line up by what both show; None where nothing fits, and what there is to say about it."""
    try:
        found = line_up(video, piece.trace, piece.strokes)
    except AlignmentError:
        return None, (NOT_LINED_UP,)
    said: tuple[str, ...] = (AMBIGUOUS,) if found.alignment.ambiguous else ()
    if found.slow_motion != 1.0:
        said += (SLOW.format(times=found.slow_motion),)
    return found.alignment, said


def lined_up(taken: TakenIn, video: Path | None) -> TakenIn:
    """Line up what was taken in without a pair; what shows nothing in common stays as it was."""
    from app.command_intake import ASSUMED

    drafting = taken.drafting
    if video is None or drafting.piece is None or drafting.pairs:
        return taken
    alignment, said = line_up_or_say(video, drafting.piece)
    if alignment is None:
        return taken
    rest = tuple(remark for remark in taken.remarks if remark != ASSUMED)
    return replace(taken, drafting=replace(drafting, alignment=alignment), remarks=(*rest, *said))


def video_of(files: Sequence[Path]) -> Path | None:
    """Give the footage among what was sent."""
    from app.command_intake import kind_of

    return next((path for path in files if kind_of(path) == "video"), None)


def need_one(options: argparse.Namespace) -> str:
    """Say what is wrong with a call of `findings`, "" where nothing is."""
    if options.trace is None and options.video is None:
        return "give a force recording, footage with --video, or both"
    if options.pair and (options.trace is None or options.video is None):
        return "--pair needs both a video and a trace"
    return ""


def _answer(
    found: Sequence[Finding], alignment: Alignment | None, remarks: Sequence[str]
) -> Answer:
    data: dict[str, Any] = {
        "findings": [finding.as_dict() for finding in found],
        "alignment": None if alignment is None else asdict(alignment),
        "remarks": list(remarks),
    }
    return Answer(data, "\n".join([*_text(found), *remarks]))


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
