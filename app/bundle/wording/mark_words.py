"""What is drawn on a still, in words, for those who cannot see it."""

from __future__ import annotations

from collections.abc import Sequence

from app.bundle.wording.text import one_line
from app.bundle.wording.words import Words
from app.review.mark_shapes import measure_text
from app.review.parts.curve_marks import CurveMark
from app.review.parts.marks import Mark


def marks_named(marks: Sequence[Mark], metres_per_px: float | None, words: Words) -> list[str]:
    """Say marks in words: "an angle of 117°"; the figure is the one that stands on the still."""
    return [
        words[f"mark_{mark.kind}"].format(value=measure_text(mark, metres_per_px)) for mark in marks
    ]


def curve_marks_named(marks: Sequence[CurveMark], words: Words) -> list[str]:
    """Say marks on a curve in words: "a shaded stretch from 60 to 85 % of the drive"."""
    said = []
    for mark in marks:
        first, last = mark.span_pct
        text = words[f"curve_mark_{mark.kind}"].format(begin=f"{first:.0f}", end=f"{last:.0f}")
        if mark.text:
            text += words["curve_mark_words"].format(value=one_line(mark.text))
        said.append(text)
    return said
