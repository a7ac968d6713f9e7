"""The force under a clip: a curve over the clip's own time, drawn straight into the page.

A reader who moves along it moves the clip, and the other way round, so it comes with what a
script needs for that: which moment of the clip stands where, and the force there.
"""

from __future__ import annotations

import json
import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from analysis.force.curves import PERCENT
from analysis.force.target import sample_target
from analysis.force.trace import FloatArray
from analysis.signals.stroke import Stroke
from app.bundle.page.sketch import WIDTH, box, elements, ink_of, top_of
from app.bundle.pictures.clips import Span
from app.bundle.sources.recordings import Sources
from app.review.parts.curve_marks import CurveMark, on_curve
from app.review.parts.state import ReviewState
from app.scene.force_curve import Curve
from app.scene.plot import Scale
from app.submission.clock import ReviewClock

_STEP = 2  # units of the box from sample to sample
# A recovery is longer than its drive and its force says little: it gets this share of the width.
_TAIL = 0.2
_GRID_N = (100.0, 200.0, 250.0, 300.0, 400.0, 500.0, 600.0, 800.0, 1000.0, 1500.0, 2000.0)


@dataclass(frozen=True)
class Run:
    """A force curve over a clip, in a 320 x 120 box.

    Attributes
    ----------
    drawn : SVG elements, their words escaped: curves, marks, the note's moment
    has_target : whether the target is among the curves
    moment : where the note stands, x and y in the box, or None outside
    catch_x, finish_x : where the drive begins and ends, None outside the clip
    tail_x : from where time is squeezed, None where it runs evenly
    mark_ink : the style sheet's name of the colour of the first mark, "" where there is none
    grid : height in the box and force in N of one line to read the scale from
    data : JSON for the script: `knots` pairs of clip milliseconds and x, `catch` and `finish` in
        clip milliseconds or null, `step` units from sample to sample, `own` and `aim` N or null,
        `top` N at the top of the box
    """

    drawn: str
    has_target: bool
    moment: tuple[float, float] | None
    catch_x: float | None
    finish_x: float | None
    tail_x: float | None
    grid: tuple[float, int]
    data: str
    mark_ink: str = ""


def run_of(
    sources: Sources, state: ReviewState, stroke: Stroke | None, span: Span, at_s: float
) -> Run | None:
    """Draw the force over a clip; None where there is none, or nobody lined film and force up.

    Parameters
    ----------
    span : the stretch of the film the clip shows
    at_s : where the note stands, seconds of the film
    """
    piece = sources.piece
    clock = sources.clock
    if piece is None or not clock.has_film or not clock.is_lined_up:
        return None
    drive = _drive(stroke, clock, span)
    knots = _knots(drive, span.seconds)
    x = np.arange(0.0, WIDTH + 1.0, _STEP)
    clip_s = np.interp(x, [k[1] for k in knots], [k[0] for k in knots])
    trace_s = np.array([clock.trace_time(span.from_s + float(t)) for t in clip_s])
    own = np.interp(trace_s, piece.trace.time_s, piece.trace.force_n, left=math.nan, right=math.nan)
    if not np.isfinite(own).any():
        return None
    aim = _aim(sources, drive, clip_s)
    drawn: tuple[CurveMark, ...] = ()
    if stroke is not None and drive is not None:
        drawn = _in_clip(on_curve(state.curve_marks, "time", stroke.index), drive, span.seconds)
    curves = [] if aim is None else [Curve("target", x, aim)]
    curves.append(Curve("own", x, own))
    top_n = top_of(curves, drawn)
    moment_x = _x_at(at_s - span.from_s, knots)
    moment_n = float(np.interp(moment_x, x, own))
    grid_n = max((n for n in _GRID_N if n <= 0.9 * top_n), default=top_n)
    plot = box(top_n, Scale(((0.0, 0.0), (WIDTH, WIDTH))))
    up = plot.y.at
    moment = (moment_x, up(moment_n)) if math.isfinite(moment_n) else None
    over_drive = None
    if drive is not None:
        over_drive = replace(plot, x=_percents(drive, knots))
    return Run(
        drawn=elements(curves, drawn, plot, moment, over_drive),
        has_target=aim is not None,
        moment=moment,
        catch_x=_place(drive and drive[0], knots),
        finish_x=_place(drive and drive[1], knots),
        tail_x=knots[1][1] if len(knots) > 2 else None,
        grid=(round(up(grid_n), 1), round(grid_n)),
        data=_data(knots, drive, own, aim, top_n),
        mark_ink=ink_of(drawn),
    )


def _percents(drive: tuple[float, float], knots: list[tuple[float, float]]) -> Scale:
    """Where percent of the drive stand: in the clip, squeezed as its time is."""
    catch_s, finish_s = drive
    share = 100.0 / (finish_s - catch_s)
    return Scale(tuple((share * (at_s - catch_s), x) for at_s, x in knots), clamps=True)


def _in_clip(
    marks: Sequence[CurveMark], drive: tuple[float, float], length_s: float
) -> tuple[CurveMark, ...]:
    """Give the marks a clip shows; of a line, what lies within it: the rest has no place there."""
    catch_s, finish_s = drive
    share = 100.0 / (finish_s - catch_s)
    low, high = -share * catch_s, share * (length_s - catch_s)
    shown = []
    for mark in marks:
        begin, end = mark.span_pct
        if end < low or begin > high:
            continue
        if mark.kind == "line":
            points = tuple(p for p in mark.points if low <= p[0] <= high)
            if len(points) < 2:
                continue
            mark = replace(mark, points=points)
        shown.append(mark)
    return tuple(shown)


def _drive(stroke: Stroke | None, clock: ReviewClock, span: Span) -> tuple[float, float] | None:
    """Give catch and finish in seconds of the clip."""
    if stroke is None:
        return None
    catch_s = clock.review_time(stroke.catch_s) - span.from_s
    finish_s = clock.review_time(stroke.finish_s) - span.from_s
    return (catch_s, finish_s) if math.isfinite(catch_s) and finish_s > catch_s else None


def _knots(drive: tuple[float, float] | None, length_s: float) -> list[tuple[float, float]]:
    """Give clip seconds and their x, both ascending."""
    if drive is not None and 0.0 < drive[1] < (1.0 - _TAIL) * length_s:
        return [(0.0, 0.0), (drive[1], (1.0 - _TAIL) * WIDTH), (length_s, float(WIDTH))]
    return [(0.0, 0.0), (length_s, float(WIDTH))]


def _aim(
    sources: Sources, drive: tuple[float, float] | None, clip_s: FloatArray
) -> FloatArray | None:
    """Give the target at moments of the clip, NaN outside the drive."""
    target = sources.target
    if target is None or target.axis != "time" or drive is None:
        return None
    percent = 100.0 * (clip_s - drive[0]) / (drive[1] - drive[0])
    aim: FloatArray = np.interp(percent, PERCENT, sample_target(target))
    aim[(percent < 0.0) | (percent > 100.0)] = math.nan
    return aim if np.isfinite(aim).any() else None


def _place(time_s: float | None, knots: list[tuple[float, float]]) -> float | None:
    if time_s is None or not 0.0 <= time_s <= knots[-1][0]:
        return None
    return round(_x_at(time_s, knots), 1)


def _x_at(time_s: float, knots: list[tuple[float, float]]) -> float:
    return float(np.interp(time_s, [k[0] for k in knots], [k[1] for k in knots]))


def _data(
    knots: list[tuple[float, float]],
    drive: tuple[float, float] | None,
    own: FloatArray,
    aim: FloatArray | None,
    top_n: float,
) -> str:
    record = {
        "knots": [[round(1000.0 * t), round(x, 1)] for t, x in knots],
        "catch": None if drive is None else round(1000.0 * drive[0]),
        "finish": None if drive is None else round(1000.0 * drive[1]),
        "step": _STEP,
        "own": _whole(own),
        "aim": None if aim is None else _whole(aim),
        "top": round(top_n, 1),
    }
    return json.dumps(record, separators=(",", ":"), allow_nan=False)


def _whole(force_n: FloatArray) -> list[int | None]:
    return [round(float(v)) if math.isfinite(v) else None for v in force_n]
