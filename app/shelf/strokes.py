"""Where in its stroke a moment lies, and how high a curve is: both carry over to others."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from analysis.signals.stroke import Stroke
    from app.submission.submission import LoadedSubmission


def stroke_of(sent: LoadedSubmission, index: int | None) -> Stroke | None:
    """The stroke of a number; None where there is none."""
    return None if index is None else next((s for s in sent.strokes if s.index == index), None)


def times_of(sent: LoadedSubmission, stroke: Stroke) -> tuple[float, float, float] | None:
    """Catch, finish and next catch on the clock of the review; None where that has no such moment.

    A last stroke has its next catch as long after its finish as its drive was.
    """
    clock = sent.clock_of(stroke)
    next_s = stroke.next_catch_s
    if next_s is None:
        next_s = 2.0 * stroke.finish_s - stroke.catch_s
    catch_s, finish_s, end_s = map(clock.review_time, (stroke.catch_s, stroke.finish_s, next_s))
    fits = all(map(math.isfinite, (catch_s, finish_s, end_s))) and catch_s < finish_s < end_s
    return (catch_s, finish_s, end_s) if fits else None


def share_at(times: tuple[float, float, float], moment_s: float) -> float:
    """How far a moment is in its stroke: 0 to 1 over the drive, on to 2 over the recovery."""
    return float(np.interp(moment_s, times, (0.0, 1.0, 2.0)))


def moment_at(times: tuple[float, float, float], share: float) -> float:
    """The moment of such a share."""
    return float(np.interp(share, (0.0, 1.0, 2.0), times))


def peak_n(sent: LoadedSubmission, stroke: int | None) -> float | None:
    """The highest force of a stroke, or for None of the mean curve; None without a force."""
    piece = sent.main_piece
    if sent.piece is None or piece is None:
        return None
    of = stroke_of(sent, stroke)
    if of is not None:
        peak = sent.measures_of(of).peak_n
        return float(peak) if peak is not None and peak > 0.0 else None
    if piece.by_time is None:
        return None
    highest = float(np.nanmax(piece.by_time.mean))
    return highest if highest > 0.0 else None
