"""Small force curves drawn straight into the page, so that they cost no file and stay sharp."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from analysis.force.curves import PERCENT, stroke_curve
from analysis.force.strokes import Stroke
from analysis.force.target import sample_target
from analysis.force.trace import FloatArray
from app.bundle.sources import Sources

WIDTH, HEIGHT = 320, 120
TOP = 8.0
_STEP = 2  # every second percent is enough for a line this small


@dataclass(frozen=True)
class Sketch:
    """One stroke's curve with the mean and the target, as SVG path data in a 320 x 120 box.

    Attributes
    ----------
    own, mean, target : path data; "" where there is none
    moment : where the note stands on the drive, x and y in the box, or None outside the drive
    moment_pct : the same in percent of drive time
    peak_n, peak_pct : of the stroke itself
    """

    own: str
    mean: str
    target: str
    moment: tuple[float, float] | None
    moment_pct: float | None
    peak_n: float
    peak_pct: float


def sketch_of(sources: Sources, stroke: Stroke, at_trace_s: float) -> Sketch | None:
    """Draw a stroke by time; None where its drive has no length."""
    piece = sources.piece
    drive_s = stroke.finish_s - stroke.catch_s
    if piece is None or not drive_s > 0.0:
        return None
    own = stroke_curve(piece.trace, stroke)
    mean = None if piece.by_time is None else piece.by_time.mean_n
    target = sources.target
    aim = sample_target(target) if target is not None and target.axis == "time" else None
    top_n = max(1.0, *(float(np.nanmax(c)) for c in (own, mean, aim) if c is not None))
    pct = 100.0 * (at_trace_s - stroke.catch_s) / drive_s
    moment = None
    if 0.0 <= pct <= 100.0:
        force_n = float(np.interp(pct, PERCENT, own))
        moment = (round(pct * WIDTH / 100.0, 1), y_of(force_n, top_n))
    return Sketch(
        own=path_of(own, top_n),
        mean="" if mean is None else path_of(mean, top_n),
        target="" if aim is None else path_of(aim, top_n),
        moment=moment,
        moment_pct=None if moment is None else pct,
        peak_n=float(own.max()),
        peak_pct=float(PERCENT[int(own.argmax())]),
    )


def path_of(force_n: FloatArray, top_n: float) -> str:
    """SVG path data of a curve over the drive, in a box of 320 by 120.

    Parameters
    ----------
    force_n : (101,) N
    top_n : the force at the top of the box, N
    """
    points = (
        f"{PERCENT[i] * WIDTH / 100.0:.1f} {y_of(float(force_n[i]), top_n):.1f}"
        for i in range(0, len(PERCENT), _STEP)
    )
    return "M" + "L".join(points)


def y_of(force_n: float, top_n: float) -> float:
    """Give the height of a force in the box."""
    share = min(max(force_n / top_n, 0.0), 1.0)
    return round(HEIGHT - share * (HEIGHT - TOP), 1)
