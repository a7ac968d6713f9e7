"""For each stroke of the trace: how far the picture, or the sound, stands from where it should."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from analysis.clocks.trace_signal import TraceSignal

FloatArray = NDArray[np.float64]

# What is compared around a catch, seconds of the trace before and after it: the handle turns, and
# whole arms and a still trunk make all of the body follow it.
PICTURE_WINDOW_S = (0.50, 0.40)
# The wheel's lowest speed, its rise, and the start of its fall.
SOUND_WINDOW_S = (0.45, 1.25)


@dataclass(frozen=True)
class Observed:
    """Strokes as one witness saw them.

    Attributes
    ----------
    stroke : (n,) which stroke of the trace
    trace_s : (n,) the catch, trace s
    video_s : (n,) where the witness has it, video s
    match : (n,) correlation there
    at_edge : (n,) whether the best place was the farthest looked at
    """

    stroke: NDArray[np.intp]
    trace_s: FloatArray
    video_s: FloatArray
    match: FloatArray
    at_edge: NDArray[np.bool_]

    def __len__(self) -> int:
        return len(self.stroke)


def picture_lags(
    time_s: FloatArray,
    travel: FloatArray,
    signal: TraceSignal,
    offset_s: float,
    rate: float,
    reach_s: float,
    step_s: float,
) -> Observed:
    """Compare the motion of frames around each catch with that of the handle.

    Parameters
    ----------
    time_s, travel : (N,) video s, and motion since the frame before (drive positive)
    offset_s, rate : trace_time = (video_time - offset_s) * rate
    reach_s, step_s : how far to both sides of that to look, and how finely
    """
    shifts = np.arange(-reach_s, reach_s + 0.5 * step_s, step_s)
    rows = []
    for k in _in_sight(signal, time_s, offset_s, rate, PICTURE_WINDOW_S, reach_s):
        catch = float(signal.catch_s[k])
        begin = (catch - PICTURE_WINDOW_S[0]) / rate + offset_s
        end = (catch + PICTURE_WINDOW_S[1]) / rate + offset_s
        first, last = np.searchsorted(time_s, [begin, end])
        if last - first < 5 or first < 1:
            continue
        at = (time_s[first - 1 : last] - offset_s) * rate
        said = np.diff(np.interp(at - shifts[:, None], signal.time_s, signal.travel), axis=1)
        seen = travel[first:last]
        norm = np.sqrt((said**2).sum(axis=1) * float((seen**2).sum()))
        agree = (said @ seen) / np.maximum(norm, 1e-12)
        rows.append((k, catch, *_best(shifts, agree)))
    return _observed(rows, offset_s, rate)


def sound_lags(
    time_s: FloatArray,
    level: FloatArray,
    signal: TraceSignal,
    offset_s: float,
    rate: float,
    reach_s: float,
    step_s: float,
) -> Observed:
    """Compare loudness around each drive with the speed of the flywheel; as `picture_lags`."""
    shifts = np.arange(-reach_s, reach_s + 0.5 * step_s, step_s)
    rows = []
    for k in _in_sight(signal, time_s, offset_s, rate, SOUND_WINDOW_S, reach_s):
        catch = float(signal.catch_s[k])
        begin = (catch - SOUND_WINDOW_S[0]) / rate + offset_s
        end = (catch + SOUND_WINDOW_S[1]) / rate + offset_s
        first, last = np.searchsorted(time_s, [begin, end])
        if last - first < 20:
            continue
        at = (time_s[first:last] - offset_s) * rate
        said = np.interp(at - shifts[:, None], signal.time_s, signal.wheel)
        said = said - said.mean(axis=1, keepdims=True)
        heard = level[first:last] - level[first:last].mean()
        norm = np.sqrt((said**2).sum(axis=1) * float((heard**2).sum()))
        agree = (said @ heard) / np.maximum(norm, 1e-12)
        rows.append((k, catch, *_best(shifts, agree)))
    return _observed(rows, offset_s, rate)


def _in_sight(
    signal: TraceSignal,
    time_s: FloatArray,
    offset_s: float,
    rate: float,
    window_s: tuple[float, float],
    reach_s: float,
) -> NDArray[np.intp]:
    """Strokes whose whole window lies in the footage and in known samples of the trace."""
    begin, end = signal.catch_s - window_s[0], signal.catch_s + window_s[1]
    inside = (begin / rate + offset_s >= time_s[0]) & (end / rate + offset_s <= time_s[-1])
    inside &= (begin - reach_s >= signal.time_s[0]) & (end + reach_s <= signal.time_s[-1])
    holes = np.concatenate(([0], np.cumsum(~signal.known)))
    first = np.clip(np.searchsorted(signal.time_s, begin), 0, len(signal.time_s))
    last = np.clip(np.searchsorted(signal.time_s, end), 0, len(signal.time_s))
    return np.flatnonzero(inside & (holes[last] == holes[first]))


def _best(shifts: FloatArray, agree: FloatArray) -> tuple[float, float, bool]:
    """Shift of best agreement between the steps of the search, the agreement, whether at an end."""
    i = int(np.argmax(agree))
    if i in (0, len(shifts) - 1):
        return float(shifts[i]), float(agree[i]), True
    left, here, right = (float(v) for v in agree[i - 1 : i + 2])
    bend = left - 2.0 * here + right
    part = 0.5 * (left - right) / bend if bend < 0.0 else 0.0
    return float(shifts[i] + part * (shifts[1] - shifts[0])), here, False


def _observed(
    rows: list[tuple[int, float, float, float, bool]], offset_s: float, rate: float
) -> Observed:
    stroke = np.array([r[0] for r in rows], np.intp)
    trace_s = np.array([r[1] for r in rows])
    shift = np.array([r[2] for r in rows])
    video_s = (trace_s + shift) / rate + offset_s
    match = np.array([r[3] for r in rows])
    return Observed(stroke, trace_s, video_s, match, np.array([r[4] for r in rows], bool))
