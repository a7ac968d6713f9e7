"""Strokes cut from what the picture shows: where the hands turn."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from analysis.body.angles import BODY_LENGTHS, BodySeries
from analysis.body.smoothing import CUT_OFF_HZ, calm_series
from analysis.body.turns import Turn, fine_turns, is_seen, rough_turns
from analysis.body.unsure_turns import sure_turns
from analysis.signals.signal import VIDEO, FloatArray
from analysis.signals.stroke import Stroke

SMALLEST_WAY_M = 0.4
USUAL_STATURE_M = 1.75  # for limits alone, where nobody said how tall: common practice, no source
# A turn must stand out by this share of the usual way: a stroke of half length does.
LEAST_TURN = 0.3
HALF_SHARE = 0.75  # a drive shorter than this share of the usual one
# As for force: a recovery longer than this and than this many usual ones is a pause.
PAUSE_S = 3.0
PAUSE_TIMES = 2.5
LONGEST_GAP_S = 0.15  # nobody knows where in a longer gap the hands turn
LONGEST_DRIVE_S = 3.0


def body_strokes(body: BodySeries) -> tuple[Stroke, ...]:
    """Cut the series into strokes by the turns of the handle, or of the seat where it is unknown.

    Catch, finish and next catch of these strokes are the turns of the hands, in seconds of the
    film; force comes some hundredths of a second after the first of them.

    Returns
    -------
    In order of time, numbered from 0; half strokes with a remark. A stroke one of whose turns lies
    in a gap is left out, and so is one that began before the film did.
    """
    if len(body.time_s) == 0:
        return ()
    unit = 1.0 / USUAL_STATURE_M if body.length_unit == BODY_LENGTHS else 1.0
    signal, least = body.handle_m, SMALLEST_WAY_M * unit
    if np.isfinite(signal).mean() < 0.5:
        signal, least = body.seat_m, 0.5 * least
    known = np.isfinite(signal)
    if known.sum() < 8:
        return ()
    time_s, where = body.time_s[known], signal[known]
    calm = calm_series(time_s, where, CUT_OFF_HZ)
    way = float(np.subtract(*np.percentile(calm, (95.0, 5.0))))
    if way < least:
        return ()
    top_speed = float(np.percentile(np.gradient(calm, time_s), 95.0))
    turns = [t for t in rough_turns(calm, max(LEAST_TURN * way, 0.5 * least))
             if is_seen(time_s, calm, t, top_speed) and _surrounded(time_s, t.at)]  # fmt: skip
    fine = fine_turns(time_s, where, calm, turns, way)
    doubts = _place_unsure(body, known, calm, fine, [t.at for t in turns if t.near], way)
    strokes = [replace(s, turn_sd_s=doubts.get(s.catch_s, 0.0)) for s in _paired(turns, fine)]
    return _named(strokes, time_s, calm)


def _place_unsure(
    body: BodySeries, known: NDArray[np.bool_], calm: FloatArray, fine: dict[int, float],
    near: list[int], way: float,
) -> dict[float, float]:  # fmt: skip
    """Place the turns into a drive anew that an unclear picture shows; give how sure these are, s.

    Parameters
    ----------
    fine : when each turn is, changed in place
    near : samples of the turns into a drive
    """
    sd = body.sd.get("handle_m")
    at = [i for i in near if i in fine]
    if sd is None or not at or not np.isfinite(sd[known]).all():
        return {}
    seen_s = np.array([fine[i] for i in at])
    placed = sure_turns(body.time_s[known], calm, sd[known], seen_s, way)
    fine.update({i: one.time_s for i, one in zip(at, placed, strict=True)})
    return {one.time_s: one.sd_s for one in placed if one.sd_s > 0.0}


def _surrounded(time_s: FloatArray, at: int) -> bool:
    """Whether no gap begins or ends at a turn."""
    around = np.diff(time_s[max(0, at - 2) : at + 3])
    return bool((around <= LONGEST_GAP_S).all())


def _paired(turns: list[Turn], fine: dict[int, float]) -> list[Stroke]:
    """Each near turn with the far one after it."""
    strokes: list[Stroke] = []
    for i, turn in enumerate(turns[:-1]):
        far = turns[i + 1]
        if not turn.near or far.near or turn.at not in fine or far.at not in fine:
            continue
        catch_s, finish_s = fine[turn.at], fine[far.at]
        done_s = strokes[-1].finish_s if strokes else -np.inf
        if not 0.1 < finish_s - catch_s < LONGEST_DRIVE_S or catch_s <= done_s:
            continue
        before = turns[i - 1] if i else None
        before_s = None if before is None or before.near else fine.get(before.at)
        after = turns[i + 2] if i + 2 < len(turns) else None
        next_s = None if after is None or not after.near else fine.get(after.at)
        if next_s is not None and next_s <= finish_s:
            next_s = None
        strokes.append(Stroke(len(strokes), catch_s, finish_s, next_s, "", before_s, "body", VIDEO))
    return strokes


def _named(strokes: list[Stroke], time_s: FloatArray, calm: FloatArray) -> tuple[Stroke, ...]:
    """Say which are half strokes, and end no recovery that is a pause."""
    if not strokes:
        return ()
    long = np.array([np.subtract(*np.interp((s.finish_s, s.catch_s), time_s, calm))
                     for s in strokes])  # fmt: skip
    rests = [s.recovery[1] - s.recovery[0] for s in strokes if s.recovery is not None]
    pause_s = max(PAUSE_S, PAUSE_TIMES * float(np.median(rests))) if rests else PAUSE_S
    named = []
    for stroke, way in zip(strokes, long, strict=True):
        if len(long) > 2 and way < HALF_SHARE * np.percentile(long, 60.0):
            stroke = replace(stroke, remark="half stroke")
        if stroke.recovery is not None and stroke.recovery[1] - stroke.recovery[0] > pause_s:
            stroke = replace(stroke, next_catch_s=None)
        if stroke.before_s is not None and stroke.catch_s - stroke.before_s > pause_s:
            stroke = replace(stroke, before_s=None)
        named.append(stroke)
    return tuple(named)
