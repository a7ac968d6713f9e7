"""What a force trace says the picture should show and the microphone should hear."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from analysis.clocks.unknowns import TAKE_UP_S
from analysis.force.cutting import low_pass
from analysis.force.trace import ForceTrace
from analysis.signals.stroke import Stroke

FloatArray = NDArray[np.float64]

STEP_S = 0.01
# Samples further apart than this leave nothing to compare with.
GAP_S = 0.25
# Of a recording longer than this without a long silence only so much is lined up.
LONGEST_SPAN_S = 6 * 3600.0
# Twice what a hand does: position is smoothed, its timing is not moved (no delay).
POSITION_HZ = 10.0
# Share of its speed a flywheel loses in a second of coasting. Common practice, no source; the
# moments of rise and fall depend little on it.
COAST_PER_S = 0.14
# The hands come to rest for so long after the chain lets go. Common practice, no source.
RUN_OUT_S = 0.10
LONGEST_FOOT_S = 0.25
# A recovery longer than this many usual ones holds a rest of unknown place.
REST_TIMES = 1.8


@dataclass(frozen=True)
class TraceSignal:
    """Handle and flywheel as the trace knows or implies them, on an even clock.

    Attributes
    ----------
    time_s : (M,) trace s, every `STEP_S`
    travel : (M,) handle away from the flywheel; metres, or shares of a drive without position
    wheel : (M,) natural logarithm of the flywheel's speed, of unknown level
    known : (M,) whether there are samples to say so
    catch_s, finish_s : (S,) of the strokes used
    from_position : whether `travel` was recorded
    foot_s, tail_s : without position: how long before its catch a drive was taken to begin, and
        how long after its finish to end
    """

    time_s: FloatArray
    travel: FloatArray
    wheel: FloatArray
    known: NDArray[np.bool_]
    catch_s: FloatArray
    finish_s: FloatArray
    from_position: bool
    foot_s: float = 0.0
    tail_s: float = 0.0

    @cached_property  # asked thousands of times in a line-up
    def period_s(self) -> float:
        """Median time from catch to catch; NaN for fewer than two strokes."""
        return float(np.median(np.diff(self.catch_s))) if len(self.catch_s) > 1 else float("nan")


def trace_signal(trace: ForceTrace, strokes: Sequence[Stroke]) -> TraceSignal:
    """Work out handle and flywheel of a piece.

    With a recorded position the handle is that, smoothed. Without, the drive runs as the chain
    of the flywheel does, after the usual take-up, and the recovery is a plain way home. The
    flywheel follows dw/dt = a F - b w^2 with `b` from `COAST_PER_S` and `a` such that nothing is
    gained over the piece.
    """
    first_s, last_s = _span(trace.time_s)
    time_s = np.arange(first_s, last_s + 0.5 * STEP_S, STEP_S)
    known = _known(time_s, trace.time_s)
    whole = whole_strokes(trace, strokes)
    catch = np.array([s.catch_s for s in whole])
    finish = np.array([s.finish_s for s in whole])
    force = _pulled(trace, time_s, catch, finish)
    wheel = _wheel(force)
    travel = _recorded(trace, time_s)
    level = np.log(wheel)
    if travel is not None:
        return TraceSignal(time_s, travel, level, known, catch, finish, True)
    early, late = _engaged(time_s, force, catch, finish)
    signal = TraceSignal(time_s, level, level, known, catch, finish, False, early, late)
    return replace(signal, travel=implied_travel(signal, TAKE_UP_S.mean))


def whole_strokes(trace: ForceTrace, strokes: Sequence[Stroke]) -> list[Stroke]:
    """Those strokes of a recording that are lined up by."""
    first_s, last_s = _span(trace.time_s)
    return [
        s
        for s in strokes
        if s.catch_s >= first_s
        and s.finish_s <= last_s
        and "within this drive" not in s.remark
        and s.remark != "held pull"
    ]


def implied_travel(signal: TraceSignal, take_up_s: float) -> FloatArray:
    """Handle travel of a trace without position, (M,), as it were with another take-up."""
    catch, finish = signal.catch_s - signal.foot_s, signal.finish_s + signal.tail_s
    return _implied(signal.time_s, np.exp(signal.wheel), catch, finish, take_up_s)


def _span(samples_s: FloatArray) -> tuple[float, float]:
    """First and last second to line up; of a recording of days, what lies around its middle."""
    first_s, last_s = float(samples_s[0]), float(samples_s[-1])
    if last_s - first_s <= LONGEST_SPAN_S:
        return first_s, last_s
    middle_s = float(np.median(samples_s))
    return max(first_s, middle_s - LONGEST_SPAN_S / 2), min(last_s, middle_s + LONGEST_SPAN_S / 2)


def _known(time_s: FloatArray, samples_s: FloatArray) -> NDArray[np.bool_]:
    after = np.clip(np.searchsorted(samples_s, time_s), 1, len(samples_s) - 1)
    known: NDArray[np.bool_] = samples_s[after] - samples_s[after - 1] <= GAP_S
    return known


def _recorded(trace: ForceTrace, time_s: FloatArray) -> FloatArray | None:
    """Smoothed handle position, None where there is none that moves."""
    if trace.position_m is None:
        return None
    travel = low_pass(np.interp(time_s, trace.time_s, trace.position_m), STEP_S, POSITION_HZ)
    return travel if float(np.ptp(travel)) > 0.2 else None


def _pulled(
    trace: ForceTrace, time_s: FloatArray, catch: FloatArray, finish: FloatArray
) -> FloatArray:
    """Force above rest during the strokes, 0 elsewhere: (M,) N."""
    force = np.interp(time_s, trace.time_s, trace.force_n)
    pulling = np.zeros(len(time_s), bool)
    for start, end in zip(catch, finish, strict=True):
        pulling[slice(*np.searchsorted(time_s, [start - 0.03, end + 0.03]))] = True
    rest = float(np.median(force[~pulling])) if (~pulling).any() else 0.0
    pulled: FloatArray = np.where(pulling, np.maximum(force - rest, 0.0), 0.0)
    return pulled


def _wheel(force: FloatArray) -> FloatArray:
    """Flywheel speed under a force, 1 on average in time: (M,)."""
    rowed = force.mean() if force.any() else 1.0
    # Over a steady piece a F and b w^2 are equal in the mean; with w near 1, a = b / mean F.
    gain = COAST_PER_S / rowed
    speed = np.empty(len(force))
    now = 1.0
    for _ in range(2):  # the second time starts from the speed of a warm flywheel
        for i, pull in enumerate((gain * force).tolist()):
            speed[i] = now
            now += STEP_S * (pull - COAST_PER_S * now * now)
            if now < 1e-3:  # twice as fast as `max`, and there are many steps
                now = 1e-3
        now = float(np.median(speed))
    return speed


def _engaged(
    time_s: FloatArray, force: FloatArray, catch: FloatArray, finish: FloatArray
) -> tuple[float, float]:
    """How long before the catch the chain bites, and how long after the finish it lets go, s.

    The catch is where force crosses 5 % of the peak. Force is taken to grow as a power of time
    from the bite, which the crossings of 10 and 20 % tell; the middle of all strokes.
    """
    rises, falls = [], []
    for start, end in zip(catch, finish, strict=True):
        first, last = np.searchsorted(time_s, [start - 0.1, end + 0.1])
        at, pull = time_s[first:last], force[first:last]
        if len(pull) >= 8:
            top = int(np.argmax(pull))
            rises.append(_crossings(at[: top + 1], pull[: top + 1]))
            falls.append(_crossings(-at[top:][::-1], pull[top:][::-1]))
    return _to_foot(rises), _to_foot(falls)


def _crossings(at: FloatArray, pull: FloatArray) -> FloatArray:
    """Where a rising force last crosses 5, 10 and 20 % of its peak: (3,) s."""
    out = []
    for share in (0.05, 0.10, 0.20):
        level = share * pull[-1]
        below = np.flatnonzero(pull < level)
        k = int(below[-1]) if len(below) and below[-1] + 1 < len(pull) else 0
        if k + 1 >= len(pull) or pull[k + 1] <= pull[k]:
            return np.full(3, np.nan)
        part = min(max((level - pull[k]) / (pull[k + 1] - pull[k]), 0.0), 1.0)
        out.append(at[k] + part * (at[k + 1] - at[k]))
    return np.array(out)


def _to_foot(crossings: list[FloatArray]) -> float:
    known = [c for c in crossings if np.isfinite(c).all()]
    if not known:
        return 0.0
    first, second = np.median(np.diff(np.array(known), axis=1), axis=0)
    if first <= 0.0:
        return 0.0
    # t = foot + A F^q: the steps between doublings of force grow by 2^q.
    growth = min(max(float(second / first), 1.2), 2.2)
    return min(float(first) / (growth - 1.0), LONGEST_FOOT_S)


def _implied(
    time_s: FloatArray, wheel: FloatArray, catch: FloatArray, finish: FloatArray, take_up_s: float
) -> FloatArray:
    """Handle travel from force alone: out with the chain, home without haste, (M,)."""
    speed = np.zeros(len(time_s))
    if len(catch) == 0:
        return speed
    gaps = catch[1:] - finish[:-1]
    usual = float(np.median(gaps)) if len(gaps) else 1.5 * float(np.median(finish - catch))
    for i, (start, end) in enumerate(zip(catch, finish, strict=True)):
        home_s = usual if i == len(gaps) else float(gaps[i])
        begin, until = end + RUN_OUT_S, end + home_s - take_up_s
        if i < len(gaps) and home_s > REST_TIMES * usual:
            begin = until = end  # where in a rest the handle went home is unknown
        reach = [start - take_up_s - STEP_S, max(until, end + RUN_OUT_S) + STEP_S]
        part = slice(*np.searchsorted(time_s, reach))
        out = _drive_speed(time_s[part], wheel[part], start, end, take_up_s)
        home = _home_speed(time_s[part], begin, until)
        total = home.sum()
        speed[part] += out - (home * (out.sum() / total) if total > 0.0 else 0.0)
    return np.cumsum(speed) * STEP_S


def _drive_speed(
    time_s: FloatArray, wheel: FloatArray, start: float, end: float, take_up_s: float
) -> FloatArray:
    """Speed of the chain while it is pulled, rising to it before and falling from it after."""
    if len(time_s) == 0:
        return np.zeros(0)
    first, last = np.interp([start, end], time_s, wheel)
    during = np.where((time_s >= start) & (time_s <= end), wheel, 0.0)
    up = np.clip((time_s - start) / take_up_s + 1.0, 0.0, 1.0)
    down = np.clip((end - time_s) / RUN_OUT_S + 1.0, 0.0, 1.0)
    speed: FloatArray = during + np.where(time_s < start, first * _ease(up), 0.0)
    return speed + np.where(time_s > end, last * _ease(down), 0.0)


def _ease(share: FloatArray) -> FloatArray:
    return share * share * (3.0 - 2.0 * share)


def _home_speed(time_s: FloatArray, begin: float, until: float) -> FloatArray:
    """Speed of a plain way home: up, level, down."""
    if until - begin < 0.2:
        return np.zeros(len(time_s))
    share = (time_s - begin) / (until - begin)
    return _ease(np.clip(3.0 * share, 0.0, 1.0)) * _ease(np.clip(3.0 * (1.0 - share), 0.0, 1.0))
