"""The command `compare`: two force recordings, or two strokes, measure by measure."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from dataclasses import asdict
from pathlib import Path
from typing import TYPE_CHECKING, Any

from app.commands.answer import Answer, CommandError, read_piece
from app.commands.tables import table

if TYPE_CHECKING:
    from analysis.comparing.variation import MeasureRow
    from analysis.force.piece import PieceAnalysis
    from analysis.sections.section import Section
    from analysis.signals.stroke import Stroke

_VERDICTS = {
    "more": "more than strokes vary",
    "within": "within how strokes vary",
    "too_few": "too few strokes to tell",
}

_HINT = (
    "Perhaps: few strokes, strokes that change slowly, or no more than one of many measures shows "
    "by chance; look again before you trust it. Ranges of few strokes may be too narrow."
)
_TABLE = (
    "Of tables in which nothing changed, one in twenty says “more” without “perhaps”. Ranges hold "
    "slow wander of a fifth of the variation; day form and wander beyond that are not in them."
)


def compare(options: argparse.Namespace) -> Answer:
    """Compare two strokes of one recording or of two; without numbers the typical ones."""
    from analysis.comparing.curves import PAIR_AXES, force_pair
    from analysis.comparing.variation import compare_measures
    from analysis.sections.finding_sections import find_sections

    left_piece = read_piece(options.left, options)
    same = options.right is None or options.right.resolve() == options.left.resolve()
    right_path = options.left if options.right is None else options.right
    right_piece = left_piece if same else read_piece(right_path, options)
    left = left_piece, _stroke(left_piece, options.left_stroke, options.left)
    right = right_piece, _stroke(right_piece, options.right_stroke, right_path)
    if same and left[1].index == right[1].index:
        raise CommandError(
            "Both are the same stroke; name another recording, or strokes with --left-stroke and "
            "--right-stroke."
        )
    found = find_sections(left_piece)
    sections = found, found if same else find_sections(right_piece)
    rows = compare_measures(left, right, same, sections)
    largest = {}
    for axis in PAIR_AXES:
        pair = force_pair((left_piece.trace, left[1]), (right_piece.trace, right[1]), axis)
        gap = None if pair is None else pair.largest
        largest[axis] = None if gap is None else {"at": gap[0], "difference_n": gap[1]}
    data = {
        "left": {"stroke": left[1].index, "section": _section(left, sections[0])},
        "right": {"stroke": right[1].index, "section": _section(right, sections[1])},
        "measures": [_measure(row) for row in rows],
        "farthest_apart": largest,
    }
    return Answer(data, _text(rows, left[1], right[1]))


def _stroke(piece: PieceAnalysis, number: int | None, path: Path) -> Stroke:
    if number is None:
        if piece.typical is None:
            raise CommandError(f"No whole stroke was found in {path.name}; nothing to compare.")
        return piece.typical
    found = next((s for s in piece.strokes if s.index == number), None)
    if found is None:
        raise CommandError(
            f"{path.name} has no stroke {number}; it has {len(piece.strokes)}, counted from 0."
        )
    return found


def _section(
    side: tuple[PieceAnalysis, Stroke], sections: Sequence[Section]
) -> dict[str, Any] | None:
    from analysis.sections.section import section_of

    found = section_of(sections, side[1].index)
    return None if found is None else found.as_dict()


def _measure(row: MeasureRow) -> dict[str, Any]:
    record = asdict(row)
    record["difference"] = row.difference
    for name, range_ in (("interval", row.interval), ("with_wander", row.with_wander)):
        record[name] = None if range_ is None else [range_.low, range_.high]
    return record


def _text(rows: tuple[MeasureRow, ...], left: Stroke, right: Stroke) -> str:
    cells = [
        (
            row.name,
            _number(row.left),
            _number(row.right),
            _number(row.difference),
            "" if row.shown is None else f"{row.shown.low:.3g} to {row.shown.high:.3g}",
            ("perhaps " if row.hint and row.verdict == "more" else "") + _VERDICTS[row.verdict],
        )
        for row in rows
    ]
    head = ("measure", "left", "right", "difference", "95 % range", "verdict")
    what = f"Stroke {left.index} and stroke {right.index}"
    if any(row.basis == "means" for row in rows):
        what = "Means of both recordings, each over the section of its stroke"
    text = f"{what}\n{table(head, cells)}"
    said = [_TABLE, _HINT] if any(row.hint for row in rows) else [_TABLE]
    return "\n".join([text, *said])


def _number(value: float | None) -> str:
    return "" if value is None else f"{value:.4g}"
