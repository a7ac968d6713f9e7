"""What a follow-up says, one sentence a row."""

from __future__ import annotations

from typing import Final

from analysis.following_up.follow import Followed, FollowUp
from analysis.measures.registry import SPEC_OF

LEADS: Final = {"changed": "Changed", "not yet": "Not yet", "cannot tell": "Cannot tell"}
OF_STROKES: Final = (
    "What was picked out for being bad gets better partly by itself, and of many measures one "
    "always moves; both are taken off. How days differ is not known from two pieces and assumed."
)
OF_DAYS: Final = (
    "Held against {count} earlier pieces and how they differed. What was picked out for being bad "
    "gets better partly by itself, and of many measures one always moves; both are taken off."
)


def sentence(row: Followed) -> str:
    """Say what became of a measure or a finding, in one sentence."""
    lead = LEADS[row.outcome]
    if row.outcome == "changed" and row.better is False:
        lead = "Changed the other way"
    said = _share_words(row) if row.key == "share" else _measure_words(row)
    why = f": {row.why.rstrip('.')}" if row.outcome == "cannot tell" and row.why else ""
    return f"{lead}: {said}{why}."


def method_words(found: FollowUp) -> str:
    """Say what was allowed for, in a sentence or two."""
    return OF_DAYS.format(count=found.earlier) if found.earlier else OF_STROKES


def _share_words(row: Followed) -> str:
    title = (row.prescribed.title if row.prescribed else "") or "the finding"
    if row.before is None or row.after is None:
        return f"“{title}”"
    then = f"{100.0 * row.before:.0f} % last time"
    return f"“{title}” in {100.0 * row.after:.0f} % of the strokes, {then}"


def _measure_words(row: Followed) -> str:
    spec = SPEC_OF[row.key]
    if row.before is None or row.after is None:
        return spec.title
    unit = f" {spec.unit_shown}" if spec.unit_shown else ""
    digits, by = spec.digits, spec.factor
    said = f"{spec.title} {by * row.after:.{digits}f}{unit}, {by * row.before:.{digits}f} last time"
    if row.change is None:
        return said
    low, high = by * row.change.low, by * row.change.high
    return f"{said} (95 % interval of the change {low:+.{digits}f} to {high:+.{digits}f}{unit})"
