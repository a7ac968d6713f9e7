"""Where the picture is unclear: readings of the whole body fit its motion worse than elsewhere.

Blocks of a coarse film, blur, somebody in front: there the networks see what is not there, and it
does not move as a body moves. The readings of one point may still fit by chance; most do not.
"""

from __future__ import annotations

from typing import Final

import numpy as np

from analysis.signals.signal import FloatArray

# Readings so near to an instant say how well they fit there: a handful at fifteen looks a second.
NEAR_S: Final = 0.2
# Up to so many times what is usual in this film is chance: sound films stay below 1.8 at a turn.
USUAL_TIMES: Final = 2.0
_FEWEST: Final = 20  # readings of a point, from which what is usual can be told


def unclear(time_s: FloatArray, off_px: FloatArray) -> FloatArray:
    """How many times further than usual the points' readings are from them: (T,), 1 where usual.

    Parameters
    ----------
    time_s : (T,) seconds, ascending
    off_px : (T, P, 2) from the estimate to the reading; NaN where nothing was read
    """
    times2 = []
    for p in range(off_px.shape[1]):
        off2 = np.square(off_px[:, p]).sum(axis=-1)
        read = np.flatnonzero(np.isfinite(off2))
        near = _mean_near(time_s, time_s[read], off2[read])
        usual = float(np.median(near[read])) if len(read) >= _FEWEST else 0.0
        if usual > 0.0:
            times2.append(near / usual)
    if not times2:
        return np.ones(len(time_s))
    times: FloatArray = np.sqrt(np.median(times2, axis=0))
    return np.where(times > USUAL_TIMES, times, 1.0)


def _mean_near(time_s: FloatArray, at_s: FloatArray, values: FloatArray) -> FloatArray:
    """Mean of the values within `NEAR_S` of each instant, 0 where there are none."""
    total = np.concatenate(([0.0], np.cumsum(values)))
    first = np.searchsorted(at_s, time_s - NEAR_S)
    last = np.searchsorted(at_s, time_s + NEAR_S, side="right")
    mean: FloatArray = (total[last] - total[first]) / np.maximum(last - first, 1)
    return mean
