"""The answers of the commands as data for programs and as tables for readers."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict
from typing import TYPE_CHECKING, Any

from analysis.clocks.alignment import ROUGH, drift_said
from analysis.clocks.cuts import said_of_sides
from app.commands.answer import Answer

if TYPE_CHECKING:
    from analysis.clocks.alignment import Alignment
    from analysis.clocks.matching import LineUp
    from analysis.force.piece import PieceAnalysis, Spread
    from analysis.force.trace import IntakeReport
    from analysis.measures.spec import MeasureSpec
    from analysis.sections.section import Section
    from app.submission.submission import LoadedSubmission


def frames_text(data: dict[str, Any]) -> str:
    """Return the frames of a video as a table."""
    head = (
        f"{data['width']} × {data['height']} as shown, turned by {data['rotation_deg']} degrees, "
        f"{len(data['frames'])} frames"
    )
    rows = [(f["index"], f"{f['time_s']:.6f}", "key" if f["key"] else "") for f in data["frames"]]
    return f"{head}\n{table(('frame', 'time s', ''), rows)}"


def line_up_data(found: LineUp) -> dict[str, Any]:
    """Return a line-up as the command `align` answers it."""
    return {
        **found.alignment.as_data(),
        "verdict": found.verdict,
        "none": found.step.none,
        "strokes": found.strokes,
        "slow_motion": found.slow_motion,
        "common_uncertainty_s": found.common_uncertainty_s,
        "candidates": [asdict(candidate) for candidate in found.candidates],
        "sides": [
            {
                "from_s": side.from_s,
                "until_s": side.until_s,
                "verdict": None if side.found is None else side.found.verdict,
                "alignment": None if side.found is None else _line(side.found.alignment),
            }
            for side in found.sides
        ],
    }


def _line(alignment: Alignment) -> dict[str, Any]:
    """One side's own line; its keys are those of before there were parts."""
    data = alignment.as_data()
    data.pop("parts")
    return data


def line_up_text(found: LineUp) -> str:
    """Return a line-up for a reader."""
    a = found.alignment
    sure = "" if a.uncertainty_s is None else f" ± {a.uncertainty_s:.3f}"
    clocks = drift_said(found.clock_ppm) or "both clocks run alike"
    lines = [
        f"The trace's clock reads zero at {a.offset_s:.3f}{sure} s of the footage "
        f"({a.method}, {found.strokes} strokes; {clocks})."
    ]
    if said := said_of_sides(found):
        lines.append(said)
    if a.is_rough:
        lines.append(ROUGH.format(how_sure=a.how_sure))
    if a.ambiguous:
        lines.append("Another stroke may fit as well; look which of these is right, if any:")
        rows = [(f"{c.offset_s:.3f}", f"{c.likelihood:.1%}") for c in found.candidates]
        lines.append(table(("offset s", "likelihood"), rows))
    return "\n".join(lines)


def piece_data(piece: PieceAnalysis) -> dict[str, Any]:
    """Return a piece as the command `strokes` answers it."""
    from analysis.force.piece import summary
    from analysis.sections.finding_sections import find_sections

    trace, intake = piece.trace, piece.trace.intake
    interval_s = trace.interval_s
    outlying = _outlying(piece)
    return {
        "trace": {
            "samples": len(trace.time_s),
            "duration_s": trace.duration_s,
            "force_unit": None if intake is None else intake.mapping.force_unit,
            "sample_hz": 1.0 / interval_s if interval_s > 0.0 else None,
            "intake": None if intake is None else _intake_data(intake),
            "signals": [
                {"name": signal.name, "title": signal.title, "unit": signal.unit}
                for signal in piece.signals
            ],
        },
        "strokes": [
            {
                "index": stroke.index,
                "catch_s": stroke.catch_s,
                "finish_s": stroke.finish_s,
                "next_catch_s": stroke.next_catch_s,
                "remark": stroke.remark,
                "outlying": stroke.index in outlying,
                "measures": dict(measures),
            }
            for stroke, measures in zip(piece.strokes, piece.measures, strict=True)
        ],
        "summary": {
            name: None if spread is None else asdict(spread)
            for name, spread in summary(piece).items()
        },
        "typical": None if piece.typical is None else piece.typical.index,
        "sections": sections_data(piece, find_sections(piece)),
    }


def sections_data(piece: PieceAnalysis | None, sections: Sequence[Section]) -> list[dict[str, Any]]:
    """Return sections as the commands answer them.

    Each has its own means and spreads, its typical stroke, and what changed from the one before.
    """
    from analysis.force.piece import summary
    from analysis.sections.finding_sections import within
    from analysis.sections.section import changes

    if piece is None:
        return []
    steps = [None, *changes(sections)]
    parts = [within(piece, section) for section in sections]
    return [
        {
            **section.as_dict(),
            "summary": {
                name: None if spread is None else asdict(spread)
                for name, spread in summary(part).items()
            },
            "typical": None if part.typical is None else part.typical.index,
            "change": None
            if step is None
            else {"rate_spm": step.rate_spm, "force_share": step.force_share},
        }
        for section, part, step in zip(sections, parts, steps, strict=False)
    ]


def sections_text(sections: Sequence[Section]) -> list[str]:
    """Return sections for a reader; nothing where the piece is one."""
    from analysis.sections.section import changes

    if len(sections) < 2:
        return []
    named = [f"Section {i}: {section.name}." for i, section in enumerate(sections, 1)]
    return [*named, *(step.words for step in changes(sections))]


def piece_text(piece: PieceAnalysis) -> str:
    """Return a piece as a table, one line a stroke, with mean and spread below."""
    from analysis.force.piece import summary
    from analysis.sections.finding_sections import find_sections

    trace, intake = piece.trace, piece.trace.intake
    lines = [f"{len(trace.time_s)} samples over {trace.duration_s:.2f} s"]
    if intake is not None:
        lines[0] += f", force read in {intake.mapping.force_unit}, {_repairs(intake)}"
        lines += intake.remarks
    if not piece.strokes:
        return "\n".join([*lines, "No stroke was found."])
    outlying = _outlying(piece)
    columns = _columns(piece)
    rows: list[Sequence[object]] = []
    for stroke, measures in zip(piece.strokes, piece.measures, strict=True):
        values = (_number(measures[spec.key], spec.stored_digits) for spec in columns)
        remark = stroke.remark or ("unlike the rest" if stroke.index in outlying else "")
        rows.append((stroke.index + 1, f"{stroke.catch_s:.2f}", *values, remark))
    usual = summary(piece)
    for word in ("mean", "sd"):
        figures = (_figure(usual[spec.key], word, spec.stored_digits) for spec in columns)
        rows.append((word, "", *figures, ""))
    headings = ("stroke", "catch s", *(spec.short for spec in columns), "remark")
    return "\n".join([*lines, table(headings, rows), *sections_text(find_sections(piece))])


def review_answer(
    sent: LoadedSubmission, remarks: Sequence[str], films: list[dict[str, Any]]
) -> Answer:
    """Return what the command `new` made."""
    state, piece = sent.state, sent.piece
    facts = None if sent.film is None else sent.film.facts
    data = {
        "review": str(sent.review_path),
        "video": None if state.video is None else state.video.path,
        "trace": None if state.trace is None else state.trace.path,
        "footage_s": None if facts is None else facts.duration_s,
        "trace_s": None if piece is None else piece.trace.duration_s,
        "strokes": None if piece is None else len(piece.strokes),
        "alignment": state.alignment.as_data() if state.video and state.trace else None,
        "films": films,
        "remarks": list(remarks),
    }
    parts = []
    if facts is not None:
        parts.append(f"footage of {facts.duration_s:.1f} s")
    if piece is not None:
        parts.append(f"force over {piece.trace.duration_s:.1f} s with {len(piece.strokes)} strokes")
    return Answer(data, "\n".join([f"Review: {sent.review_path} ({', '.join(parts)})", *remarks]))


def table(headings: Sequence[str], rows: Sequence[Sequence[object]]) -> str:
    """Return rows under headings, figures to the right and the last column to the left."""
    cells = [tuple(headings), *(tuple(str(cell) for cell in row) for row in rows)]
    widths = [max(len(row[i]) for row in cells) for i in range(len(headings))]
    lines = []
    for row in cells:
        figures = (cell.rjust(width) for cell, width in zip(row[:-1], widths, strict=False))
        lines.append("  ".join((*figures, row[-1])).rstrip())
    return "\n".join(lines)


def _columns(piece: PieceAnalysis) -> tuple[MeasureSpec, ...]:
    """Measures a reader sees: those with a short heading that any stroke has. JSON holds all."""
    from analysis.measures.registry import MEASURES

    return tuple(
        spec
        for spec in MEASURES
        if spec.short and any(measures[spec.key] is not None for measures in piece.measures)
    )


def _outlying(piece: PieceAnalysis) -> frozenset[int]:
    curves = piece.by_time
    if curves is None:
        return frozenset()
    pairs = zip(curves.stroke_indices, curves.outlying, strict=True)
    return frozenset(index for index, out in pairs if out)


def _intake_data(intake: IntakeReport) -> dict[str, Any]:
    mapping = asdict(intake.mapping)
    # By name, as the options take them: a number would have to say where it counts from.
    for key in ("force_column", "time_column", "position_column"):
        at = mapping[key]
        mapping[key] = None if at is None else intake.columns[at]
    return {
        "rows": intake.rows,
        "samples": intake.samples,
        "missing": intake.missing,
        "repeated": intake.repeated,
        "backward": intake.backward,
        "gaps": [{"from_s": a, "to_s": b} for a, b in intake.gaps_s],
        "encoding": intake.encoding,
        "delimiter": intake.delimiter,
        "decimal": intake.decimal,
        "has_header": intake.has_header,
        "columns": list(intake.columns),
        "mapping": mapping,
        "remarks": list(intake.remarks),
    }


def _repairs(intake: IntakeReport) -> str:
    return (
        f"{intake.missing} rows missing a number, {intake.repeated} repeated, "
        f"{intake.backward} out of order, {len(intake.gaps_s)} gaps"
    )


def _number(value: float | None, digits: int) -> str:
    return "–" if value is None else f"{value:.{digits}f}"


def _figure(spread: Spread | None, word: str, digits: int) -> str:
    return _number(None if spread is None else getattr(spread, word), digits)
