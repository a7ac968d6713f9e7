"""Summaries of reviews for libraries, drawn without any recording."""

from __future__ import annotations

import hashlib
from dataclasses import replace

import numpy as np

from app.library.summaries import (
    AnswerSummary,
    PrescriptionSummary,
    RecordingSummary,
    ReviewSummary,
)
from tests.helpers.drawn_athletes import Athlete, piece_of


def told_review(
    athlete: str, number: int = 1, seed: int = 1, measured: bool = True, **more: object
) -> ReviewSummary:
    """A review of somebody, the same for the same words."""
    mark = hashlib.sha256(f"{athlete} {number}".encode()).hexdigest()
    rng = np.random.default_rng([seed, number])
    piece = piece_of(rng, Athlete(0.3), found="give", limit=-1.0)
    told = ReviewSummary(
        review_id=mark[:32],
        athlete=athlete,
        title=f"Piece {number}",
        path=f"/somewhere/{mark[:8]}.review",
        submission_id=mark[32:48],
        recordings=(RecordingSummary("trace", mark, 1000 + number, f"{number}.csv"),),
        notes=2,
        piece=replace(piece, rowed_on=f"2026-{1 + number % 12:02d}-05"),
        kept=(("give", True),),
        prescriptions=(PrescriptionSummary(mark[:8], "give", "Give", "Hold on", "Pauses"),),
        answers=(),
    )
    if not measured:
        told = replace(told, piece=type(piece)())
    return replace(told, **more)  # type: ignore[arg-type]


def answer(id_: str = "a" * 32, at: str = "2026-03-01T00:00:00+00:00") -> AnswerSummary:
    """An answer to two notes."""
    return AnswerSummary(id_, at, 1, 1, "Felt heavy.")
