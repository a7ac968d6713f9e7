"""Handle and seat over time: readings of a template, with short gaps closed."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from analysis.body.following.banded import column_variances, smooth_columns
from analysis.body.following.bias import CLICK_SD
from analysis.body.following.observed import BODY_POINTS, Observed, known_places
from analysis.body.following.phase_mean import middle, on_frames, strokes_of
from analysis.body.track import POINTS, Source
from analysis.signals.signal import FloatArray

_JERK = 400.0  # of stature, 1/s^5: handle and seat turn more sharply than joints
_PHASE_SD = 0.02  # of stature
_CONTRADICTED_S = 0.5  # around a click that contradicts the template, it is not believed


def machine_points(
    observed: Observed,
    xy_px: FloatArray,
    frame: NDArray[np.intp],
    point: NDArray[np.intp],
    place_px: FloatArray,
    size_px: float,
) -> tuple[FloatArray, FloatArray, NDArray[np.uint8]]:
    """Place handle and seat in all frames.

    Parameters
    ----------
    xy_px : (T, K, 2) steadied readings of `observed`
    frame, point, place_px : of the clicks, steadied

    Returns
    -------
    Places (T, 2, 2), standard deviations (T, 2) and sources (T, 2).
    """
    shape = (len(observed.time_s), 2)
    places, sd = np.empty((*shape, 2)), np.empty(shape)
    source = np.zeros(shape, np.uint8)
    for k in range(2):
        at = BODY_POINTS + k
        mine = point == at
        readings = xy_px[:, at].copy()
        spread = np.array(observed.sd_px[:, at])
        _drop_contradicted(
            observed.time_s, readings, frame[mine], place_px[mine], 4.0 * CLICK_SD * size_px
        )
        hand = np.zeros(shape[0], dtype=bool)
        hand[frame[mine]] = ~np.isfinite(readings[frame[mine]]).all(axis=-1)
        clicked_px = np.zeros((shape[0], 2))
        clicked_px[frame[mine]] = place_px[mine]
        readings[hand], spread[hand] = clicked_px[hand], CLICK_SD * size_px
        places[:, k], sd[:, k], source[:, k] = _one(observed, readings, spread, size_px)
        read = known_places(readings)
        source[read, k] = observed.source[read, at]
        source[hand, k] = Source.HAND
    return places, sd, source


def _drop_contradicted(
    time_s: FloatArray,
    readings: FloatArray,
    frames: NDArray[np.intp],
    clicked_px: FloatArray,
    far_px: float,
) -> None:
    """Forget readings, in place, around clicks that say the template followed something else."""
    for frame, place in zip(frames, clicked_px, strict=True):
        off = np.hypot(*(readings[frame] - place))
        if np.isfinite(off) and off > far_px:
            readings[np.abs(time_s - time_s[frame]) <= _CONTRADICTED_S] = np.nan


def _one(
    observed: Observed, readings: FloatArray, spread: FloatArray, size_px: float
) -> tuple[FloatArray, FloatArray, NDArray[np.uint8]]:
    """Close gaps by smooth motion and the same phase of other strokes; readings stay themselves."""
    time_s, phase = observed.time_s, observed.phase
    read = known_places(readings)
    source = np.where(read, np.uint8(Source.FLOW), np.uint8(Source.UNKNOWN))
    if read.sum() < 2:
        sd = np.where(read, spread, np.nan)
        return readings, sd, source
    centre, _ = middle(strokes_of(phase, np.nan_to_num(readings)[:, None], read[:, None]))
    pull = on_frames(phase, centre)[:, 0]
    pulled = known_places(pull) & ~read
    weight = np.where(read, 1.0 / np.where(read, spread, 1.0) ** 2, 0.0)
    weight = np.where(pulled, 1.0 / (3.0 * (_PHASE_SD * size_px) ** 2), weight)
    wanted = np.where(read[:, None], readings, np.where(pulled[:, None], pull, 0.0))
    jerk = _JERK * size_px**2
    smooth = smooth_columns(time_s, np.nan_to_num(wanted), np.repeat(weight[:, None], 2, 1), jerk)
    variance = column_variances(time_s, weight[:, None], jerk)[:, 0]
    places = np.where(read[:, None], readings, smooth)
    sd = np.where(read, spread, np.sqrt(variance))
    source = np.where(pulled, np.uint8(Source.PHASE), source)
    near = ~read & ~pulled & (sd < 0.02 * size_px)
    source = np.where(near, np.uint8(Source.FLOW), source)
    return places, sd, source.astype(np.uint8)


assert POINTS[BODY_POINTS:] == ("handle", "seat")
