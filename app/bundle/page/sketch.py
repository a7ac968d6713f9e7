"""Small force curves drawn straight into the page, so that they cost no file and stay sharp."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from analysis.force.curves import PERCENT, stroke_curve
from analysis.force.target import sample_target
from analysis.force.trace import FloatArray
from analysis.signals.stroke import Stroke
from app.bundle.sources import Sources
from app.bundle.wording.text import one_line
from app.review.parts.curve_marks import CurveMark, on_curve

WIDTH, HEIGHT = 320, 120
TOP = 8.0
_CLASS = {"yellow": "yellow", "blue": "light-blue", "red": "red"}
_STEP = 2  # every second percent is enough for a line this small


@dataclass(frozen=True)
class SketchMark:
    """What the coach drew on the curve, in the box of its sketch.

    Attributes
    ----------
    path : path data of a line; "" for a shaded stretch
    left, right : the stretch, or the reach of the line
    text_x, text_y, anchor : where its words stand, and by which of their ends
    colour : the style sheet's name of it
    text : words beside it
    """

    path: str
    left: float
    right: float
    colour: str
    text: str
    text_x: float
    text_y: float
    anchor: str

    @property
    def width(self) -> float:
        """How wide the stretch is."""
        return round(self.right - self.left, 1)


@dataclass(frozen=True)
class Sketch:
    """One stroke's curve with the mean and the target, as SVG path data in a 320 x 120 box.

    Attributes
    ----------
    own, mean, target : path data; "" where there is none
    moment : where the note stands on the drive, x and y in the box, or None outside the drive
    moment_pct : the same in percent of drive time
    peak_n, peak_pct : of the stroke itself
    marks : what the coach drew on it
    """

    own: str
    mean: str
    target: str
    moment: tuple[float, float] | None
    moment_pct: float | None
    peak_n: float
    peak_pct: float
    marks: tuple[SketchMark, ...] = ()


def sketch_of(
    sources: Sources, stroke: Stroke, at_trace_s: float, marks: Sequence[CurveMark] = ()
) -> Sketch | None:
    """Draw a stroke by time; None where its drive has no length."""
    piece = sources.piece
    drive_s = stroke.finish_s - stroke.catch_s
    if piece is None or not drive_s > 0.0:
        return None
    own = stroke_curve(piece.trace, stroke)
    mean = None if piece.by_time is None else piece.by_time.mean
    target = sources.target
    aim = sample_target(target) if target is not None and target.axis == "time" else None
    drawn = on_curve(marks, "time", stroke.index)
    tops = (float(np.nanmax(c)) for c in (own, mean, aim) if c is not None)
    top_n = max(1.0, highest_drawn(drawn), *tops)
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
        marks=sketch_marks(drawn, lambda percent: percent * WIDTH / 100.0, top_n),
    )


def sketch_marks(
    marks: Sequence[CurveMark], x_of: Callable[[float], float], top_n: float
) -> tuple[SketchMark, ...]:
    """Place what the coach drew in a box.

    Parameters
    ----------
    x_of : where a percent of the drive stands in the box
    top_n : the force at the top of the box, N
    """
    return tuple(_placed(mark, x_of, top_n) for mark in marks)


def highest_drawn(marks: Sequence[CurveMark]) -> float:
    """Highest force of the lines the coach drew, N; 0 where there is none."""
    forces = [force_n for m in marks if m.kind == "line" for _percent, force_n in m.points]
    return max(forces, default=0.0)


def _placed(mark: CurveMark, x_of: Callable[[float], float], top_n: float) -> SketchMark:
    points = [(round(x_of(p), 1), y_of(n, top_n)) for p, n in mark.points]
    left, right = (round(x_of(p), 1) for p in mark.span_pct)
    line = mark.kind == "line"
    path = "M" + "L".join(f"{x} {y}" for x, y in points) if line else ""
    text_x = points[-1][0] if line else round((left + right) / 2.0, 1)
    text_y = min(points[-1][1] + 14.0, HEIGHT - 4.0) if line else HEIGHT - 4.0
    anchor = "start" if text_x < WIDTH / 4 else "end" if text_x > 0.75 * WIDTH else "middle"
    text = one_line(mark.text)
    return SketchMark(path, left, right, _CLASS[mark.colour], text, text_x, text_y, anchor)


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
