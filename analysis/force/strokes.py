"""Catches and finishes found on a force trace."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from analysis.force.crossings import Edges, cut_edges
from analysis.force.cutting import Pull, Stretch, find_pulls, stretches
from analysis.force.rest import CLEAR_S, Rest, joined, rest_course
from analysis.force.trace import FloatArray, ForceTrace
from analysis.force.tugs import AROUND, Pulls, find_tugs
from analysis.signals.signal import HOLE_S, HOLE_STEPS
from analysis.signals.stroke import Stroke

# A drive starts and ends where force crosses this share of the stroke's own peak.
EDGE_SHARE = 0.05
# Weaker than this in impulse than the strokes around it is a half stroke. Common practice, no
# source.
HALF_SHARE = 0.65
FEWEST_TO_COMPARE = 3
# The longest drive of a novice is below 2 s; a longer pull is no drive. Common practice, no source.
LONGEST_DRIVE_S = 3.0
# A recovery longer than this and than this many usual recoveries is a pause.
PAUSE_S = 3.0
PAUSE_TIMES = 2.5


@dataclass(frozen=True)
class _Cut:
    """A pull with its edges, on the way to becoming a stroke."""

    pull: Pull
    edges: Edges
    impulse_ns: float


@dataclass(frozen=True)
class CutTrace:
    """The strokes of a trace and the level of rest they were cut above."""

    strokes: tuple[Stroke, ...]
    rest: Rest


def find_strokes(trace: ForceTrace) -> tuple[Stroke, ...]:
    """Cut a trace into strokes, as `cut_trace`."""
    return cut_trace(trace).strokes


def cut_trace(trace: ForceTrace) -> CutTrace:
    """Cut a trace into strokes.

    A drive starts and ends where force crosses 5 % of that stroke's own peak, both counted from
    the level of rest around it, between samples. Half strokes, strokes with samples missing and
    strokes cut off by an end of the trace are returned with a remark; a tug on the handle during
    the recovery is none of these and is left out.

    Returns
    -------
    Strokes in order of time, numbered from 0; none when nobody pulled.
    """
    cuts: list[_Cut] = []
    rests: list[Rest] = []
    for stretch in stretches(trace):
        found, rest = _cut(stretch)
        cuts += found
        rests.append(rest)
    cuts = _without_tugs(trace, cuts)
    hole_s = max(HOLE_S, HOLE_STEPS * trace.interval_s) if cuts else HOLE_S
    impulses = np.array([cut.impulse_ns for cut in cuts])
    strokes = []
    for i, cut in enumerate(cuts):
        has_hole = _largest_hole(trace, cut.edges) > hole_s
        remark = _remark(cut, _usual_impulse(impulses, i), has_hole)
        strokes.append(Stroke(i, cut.edges.catch_s, cut.edges.finish_s, None, remark))
    return CutTrace(_link(strokes) if trace.timed else tuple(strokes), joined(rests))


def _cut(stretch: Stretch) -> tuple[list[_Cut], Rest]:
    """Pulls of a stretch with their edges, and the level of rest between them."""
    pulls = find_pulls(stretch)
    if not pulls:
        return [], joined(())
    begin = np.array([p.start_s for p in pulls])
    end = np.array([p.end_s for p in pulls])
    edges, rest, level = _cut_above_rest(stretch, pulls, begin, end)
    catch = np.array([e.catch_s for e in edges])
    finish = np.array([e.finish_s for e in edges])
    if (begin - catch > CLEAR_S).any() or (finish - end > CLEAR_S).any():
        # What dies away slowly was taken for rest in part.
        begin, end = np.minimum(begin, catch), np.maximum(end, finish)
        edges, rest, level = _cut_above_rest(stretch, pulls, begin, end)
    kept = [_within(edge, stretch) for edge in edges]
    cuts = [
        _Cut(pull, edge, _impulse(level, edge))
        for pull, edge in zip(pulls, kept, strict=True)
        if edge.finish_s > edge.catch_s
    ]
    return cuts, rest


def _within(edge: Edges, stretch: Stretch) -> Edges:
    """An edge found between samples may lie before the first or behind the last of them."""
    first, last = float(stretch.time_s[0]), float(stretch.time_s[-1])
    return replace(edge, catch_s=max(edge.catch_s, first), finish_s=min(edge.finish_s, last))


def _cut_above_rest(
    stretch: Stretch, pulls: Sequence[Pull], begin_s: FloatArray, end_s: FloatArray
) -> tuple[list[Edges], Rest, Stretch]:
    rest = rest_course(stretch.time_s, stretch.force_n, begin_s, end_s)
    if len(rest.time_s) == 0:
        rest = Rest(np.array([p.peak_s for p in pulls]), np.array([p.rest_n for p in pulls]))
    ticks = np.arange(len(stretch.smooth_n), dtype=np.float64)
    even_s: FloatArray = stretch.start_s + np.float64(stretch.step_s) * ticks
    level = replace(
        stretch,
        force_n=stretch.force_n - rest.at(stretch.time_s),
        smooth_n=stretch.smooth_n - rest.at(even_s),
    )
    return cut_edges(level, pulls, EDGE_SHARE, rest.noise_n), rest, level


def _impulse(level: Stretch, edges: Edges) -> float:
    first, last = np.searchsorted(level.time_s, [edges.catch_s, edges.finish_s])
    time_s, force_n = level.time_s[first:last], level.force_n[first:last]
    return float(np.trapezoid(force_n, time_s)) if len(time_s) > 1 else 0.0


def _usual_impulse(impulses: FloatArray, at: int) -> float:
    """Impulse of the strokes before or after a stroke, whichever is smaller, N s.

    The smaller one, because where hard rowing begins or ends a stroke resembles one side only.
    """
    before = impulses[max(0, at - AROUND) : at]
    after = impulses[at + 1 : at + 1 + AROUND]
    sides = [side for side in (before, after) if len(side) >= FEWEST_TO_COMPARE]
    if not sides:
        sides = [impulses[max(0, at - AROUND) : at + 1 + AROUND]]
    return min(float(np.percentile(side, 60.0)) for side in sides)


def _without_tugs(trace: ForceTrace, cuts: Sequence[_Cut]) -> list[_Cut]:
    if not cuts:
        return []
    catch = np.array([cut.edges.catch_s for cut in cuts])
    finish = np.array([cut.edges.finish_s for cut in cuts])
    travel = None
    if trace.position_m is not None:
        there = np.interp(finish, trace.time_s, trace.position_m)
        travel = there - np.interp(catch, trace.time_s, trace.position_m)
    peak = np.array([cut.pull.peak_n for cut in cuts])
    tugs = find_tugs(Pulls(catch, finish, peak, travel))
    return [cut for cut, is_tug in zip(cuts, tugs, strict=True) if not is_tug]


def _remark(cut: _Cut, usual_ns: float, has_hole: bool) -> str:
    edges = cut.edges
    if edges.open_start:
        return "the trace starts within this drive"
    if edges.open_end:
        return "the trace ends within this drive"
    if edges.finish_s - edges.catch_s > LONGEST_DRIVE_S:
        return "held pull"
    if has_hole:
        return "samples missing"
    if cut.impulse_ns < HALF_SHARE * usual_ns:
        return "half stroke"
    return ""


def _largest_hole(trace: ForceTrace, edges: Edges) -> float:
    first, last = np.searchsorted(trace.time_s, [edges.catch_s, edges.finish_s])
    around = trace.time_s[max(0, first - 1) : last + 1]
    return float(np.diff(around).max()) if len(around) > 1 else 0.0


def _link(strokes: list[Stroke]) -> tuple[Stroke, ...]:
    """Name each stroke's next catch unless a pause lies between."""
    if len(strokes) < 2:
        return tuple(strokes)
    catches = np.array([s.catch_s for s in strokes])
    recovery = catches[1:] - np.array([s.finish_s for s in strokes[:-1]])
    pause_s = max(PAUSE_S, PAUSE_TIMES * float(np.median(recovery)))
    linked = [
        replace(stroke, next_catch_s=float(after)) if rest <= pause_s else stroke
        for stroke, after, rest in zip(strokes[:-1], catches[1:], recovery, strict=True)
    ]
    return (*linked, strokes[-1])
