"""The camera's motion put right by points of the machine that do not move.

The scenery tells quick motion well; what creeps on over minutes, or a scenery that moved itself, is
told by the machine.
"""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from analysis.body.following.observed import known_places, steadied
from analysis.body.following.steadying import STILL_PX, similarity
from analysis.signals.signal import FloatArray

_CALM_S = 2.0  # a creep is read over so long; quicker motion is the scenery's to tell
_LEAST_KNOWN = 0.5  # of the frames; a point that is hidden more often says nothing
_FURTHEST = 0.05  # of the picture's width; further off, something else was followed
_APART = 0.15  # of the picture's width: two points nearer to each other do not tell a turn


def held_still(
    time_s: FloatArray,
    steady: FloatArray | None,
    found_px: Mapping[str, FloatArray],
    width_px: int,
) -> FloatArray | None:
    """Give the transforms under which the fixed points stand still as well.

    Parameters
    ----------
    steady : (T, 2, 3) what the scenery told, None: the camera stood still by it
    found_px : (T, 2) of each fixed point that was followed, each frame's own pixels, NaN: not found
    width_px : of the picture

    Returns
    -------
    (T, 2, 3) to pixels of the first frame, or None where the camera stood still. With one point
    its shift is taken out, with two or more that are apart also its turn and its zoom. As `steady`
    where the points stood still already, or none was found in half of the frames.
    """
    homes, ways = _ways(time_s, steady, found_px, width_px)
    if not homes:
        return steady
    home, way = np.array(homes), np.stack(ways, axis=1)
    if float(np.hypot(*(way - home).reshape(-1, 2).T).max()) < STILL_PX:
        return steady
    change = _changes(home, way, width_px)
    if steady is None:
        return change
    shift = np.einsum("tij,tj->ti", change[:, :, :2], steady[:, :, 2]) + change[:, :, 2]
    return np.concatenate((change[:, :, :2] @ steady[:, :, :2], shift[:, :, None]), axis=2)


def _ways(
    time_s: FloatArray,
    steady: FloatArray | None,
    found_px: Mapping[str, FloatArray],
    width_px: int,
) -> tuple[list[FloatArray], list[FloatArray]]:
    """Where each point stands in the first frame, and how it seems to move, calm: (T, 2)."""
    homes, ways = [], []
    for places in found_px.values():
        way = steadied(places[:, None], steady)[:, 0]
        known = known_places(way)
        if known.sum() < max(_LEAST_KNOWN * len(way), 1):
            continue
        known &= np.hypot(*(way - np.median(way[known], axis=0)).T) <= _FURTHEST * width_px
        if known.sum() < max(_LEAST_KNOWN * len(way), 1):
            continue
        calm = np.stack([_calm(time_s, time_s[known], row[known]) for row in way.T], axis=1)
        homes.append(calm[0])
        ways.append(calm)
    return homes, ways


def _calm(time_s: FloatArray, at_s: FloatArray, values: FloatArray) -> FloatArray:
    """Read a row slowly: the mean line through each two seconds, on all frames."""
    from scipy.signal import savgol_filter

    row = np.interp(time_s, at_s, values)
    step = float(np.median(np.diff(time_s))) if len(time_s) > 1 else 1.0
    width = min(2 * round(0.5 * _CALM_S / step) + 1, len(row) - 1 + len(row) % 2)
    if width < 3:
        return np.full_like(row, float(np.mean(row)))
    calm: FloatArray = savgol_filter(row, width, 1, mode="interp")
    return calm


def _changes(home: FloatArray, way: FloatArray, width_px: int) -> FloatArray:
    """What takes the points (T, F, 2) back to where they stood, (T, 2, 3)."""
    if len(home) < 2 or float(np.ptp(home, axis=0).max()) < _APART * width_px:
        change = np.broadcast_to(np.eye(2, 3), (len(way), 2, 3)).copy()
        change[:, :, 2] = (home - way).mean(axis=1)
        return change
    return np.array([similarity(now, home) for now in way])
