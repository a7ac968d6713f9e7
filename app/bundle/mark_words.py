"""What is drawn on a still, in words, for those who cannot see it."""

from __future__ import annotations

from collections.abc import Sequence

from app.bundle.words import Words
from app.review.marks import Mark, measure_text


def marks_named(marks: Sequence[Mark], metres_per_px: float | None, words: Words) -> list[str]:
    """Say marks in words: "an angle of 117°"; the figure is the one that stands on the still."""
    return [
        words[f"mark_{mark.kind}"].format(value=measure_text(mark, metres_per_px)) for mark in marks
    ]
