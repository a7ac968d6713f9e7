"""Which part of its stroke each frame shows, from a point that goes to and fro."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from analysis.body.smoothing import CUT_OFF_HZ, calm_series
from analysis.body.track import POINTS
from analysis.signals.signal import FloatArray

# Asked for their way in this order; the first that is known in most frames is taken.
LEADERS = ("handle", "seat", "wrist", "hip", "knee")
_KNOWN_SHARE = 0.5
_PROMINENCE = 0.45  # of the usual way
_FEWEST_FRAMES = 12
_RESTLESS = 0.03  # of a stroke


def phase_of_points(time_s: FloatArray, xy_px: FloatArray) -> FloatArray:
    """Phase (T,) from steadied points (T, K, 2); NaN where it is not known.

    Whole numbers are turns at one end of the way, halves those at the other; where ankle or
    stretcher side is known by the ankle, whole numbers are the turns nearer to it (the catch).
    """
    for name in LEADERS:
        way = xy_px[:, POINTS.index(name), 0]
        if np.isfinite(way).mean() >= _KNOWN_SHARE or _thinly_known(time_s, way):
            phase = phase_of(time_s, _away_from_ankle(way, xy_px))
            if np.isfinite(phase).any():
                return phase
    return np.full(len(time_s), np.nan)


def _thinly_known(time_s: FloatArray, way: FloatArray) -> bool:
    """Whether readings are fewer than frames, but follow each other closely enough."""
    at = time_s[np.isfinite(way)]
    return len(at) >= _FEWEST_FRAMES and float(np.median(np.diff(at))) <= 0.25


def _away_from_ankle(way: FloatArray, xy_px: FloatArray) -> FloatArray:
    ankle = xy_px[:, POINTS.index("ankle"), 0]
    if not np.isfinite(ankle).any():
        return way
    return way if np.nanmedian(way) >= np.nanmedian(ankle) else -way


def phase_of(time_s: FloatArray, way: FloatArray) -> FloatArray:
    """Phase (T,) of a signal that goes to and fro; its lowest turns are whole numbers.

    Parameters
    ----------
    way : (T,) NaN where not known

    Returns
    -------
    NaN before the first and after the last turn, and everywhere without three turns.
    """
    low, high = _sharp(*turns(time_s, way))
    at = np.concatenate((low, high))
    if len(at) < 3:
        return np.full(len(time_s), np.nan)
    is_low = np.concatenate((np.ones(len(low), bool), np.zeros(len(high), bool)))
    order = np.argsort(at)
    at, is_low = at[order], is_low[order]
    # A turn missed leaves two of a kind in a row: a whole stroke lies between them.
    step = np.where(is_low[1:] == is_low[:-1], 1.0, 0.5)
    count = np.concatenate(([0.0 if is_low[0] else 0.5], step)).cumsum()
    return np.interp(time_s, at, count, left=np.nan, right=np.nan)


def _sharp(low: FloatArray, high: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Leave out the turns of one end, where they lie in the stroke now here, now there.

    Hip and seat rest at the finish: their turn there may be anywhere in the rest.
    """
    if len(low) < 3 or len(high) < 3:
        return low, high
    stroke = np.searchsorted(low, high) - 1
    inside = (stroke >= 0) & (stroke < len(low) - 1)
    begin, end = low[stroke[inside]], low[stroke[inside] + 1]
    if len(begin) < 2 or np.std((high[inside] - begin) / (end - begin)) <= _RESTLESS:
        return low, high
    none = np.zeros(0)
    uneven = [float(np.std(np.diff(at)) / np.median(np.diff(at))) for at in (low, high)]
    return (low, none) if uneven[0] <= uneven[1] else (none, high)


def turns(time_s: FloatArray, way: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Times (s) of the lowest and of the highest turns of a signal that goes to and fro."""
    from scipy.signal import find_peaks

    none = np.zeros(0)
    known = np.isfinite(way)
    if known.sum() < _FEWEST_FRAMES:
        return none, none
    at, values = time_s[known], way[known]
    values = calm_series(at, values, min(CUT_OFF_HZ, 0.2 / float(np.median(np.diff(at)))))
    usual = float(np.subtract(*np.percentile(values, (95.0, 5.0))))
    if usual <= 0.0:
        return none, none
    high, _ = find_peaks(values, prominence=_PROMINENCE * usual)
    low, _ = find_peaks(-values, prominence=_PROMINENCE * usual)
    return (
        _between_samples(at, values, low.astype(np.intp)),
        _between_samples(at, values, high.astype(np.intp)),
    )


def _between_samples(time_s: FloatArray, values: FloatArray, peaks: NDArray[np.intp]) -> FloatArray:
    """Place turns between samples, by a parabola through five of them."""
    out = []
    for peak in peaks:
        part = slice(max(peak - 2, 0), peak + 3)
        t = time_s[part] - time_s[peak]
        bend, slope, _ = np.polyfit(t, values[part], 2)
        shift = -0.5 * slope / bend if bend != 0.0 else 0.0
        out.append(time_s[peak] + float(np.clip(shift, t[0], t[-1])))
    return np.array(out)
