"""Which weak pulls are strokes rowed lightly, and which are tugs on the handle in a recovery."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from analysis.signals.signal import FloatArray

# Below this share of the peaks around it a pull has to prove that it is a stroke. It is a tug
# where the handle travels less than this share of a usual drive, or, with no handle to go by, where
# it lasts less than this share of one, or where the strokes before and after it stand as near to
# each other as strokes with nothing between. Common practice, no source.
WEAK_SHARE = 0.5
TRAVEL_SHARE = 0.3
BRIEF_SHARE = 0.6
ONE_PERIOD = 1.4
AROUND = 7  # strokes to each side that say what is usual


@dataclass(frozen=True)
class Pulls:
    """The pulls of a piece in order of time, (P,) each.

    Attributes
    ----------
    catch_s, finish_s, peak_n : where each starts and ends, and its peak above rest
    travel_m : how far the handle goes out in it; None where there is no handle
    """

    catch_s: FloatArray
    finish_s: FloatArray
    peak_n: FloatArray
    travel_m: FloatArray | None = None


def find_tugs(pulls: Pulls) -> NDArray[np.bool_]:
    """Tell tugs from strokes: (P,) True for a tug."""
    tug = np.zeros(len(pulls.peak_n), dtype=np.bool_)
    weak = pulls.peak_n < WEAK_SHARE * usual(pulls.peak_n)
    strong = np.flatnonzero(~weak)
    if not weak.any() or len(strong) == 0:
        return tug
    if pulls.travel_m is not None:
        travel = float(np.median(pulls.travel_m[strong]))
        if travel > 0.0:
            return weak & (pulls.travel_m < TRAVEL_SHARE * travel)
    length = pulls.finish_s - pulls.catch_s
    brief = length < BRIEF_SHARE * float(np.median(length[strong]))
    return weak & (brief | _within_one_period(pulls, strong))


def usual(values: FloatArray) -> FloatArray:
    """Upper-middle value around each stroke: (S,).

    The 60th percentile, not the median: where strokes and half strokes alternate, whole strokes
    are the measure.
    """
    from scipy.ndimage import percentile_filter

    size = min(2 * AROUND + 1, max(1, len(values)))
    found: FloatArray = percentile_filter(values, 60.0, size=size, mode="nearest")
    return found


def _within_one_period(pulls: Pulls, strong: NDArray[np.intp]) -> NDArray[np.bool_]:
    """Whether the strong pulls on both sides stand no further apart than strokes do: (P,)."""
    from scipy.ndimage import median_filter

    within = np.zeros(len(pulls.peak_n), dtype=np.bool_)
    apart = np.diff(pulls.catch_s[strong])
    clear = np.flatnonzero(np.diff(strong) == 1)
    if len(clear) == 0:
        return within
    size = min(2 * AROUND + 1, len(clear))
    period = median_filter(apart[clear], size=size, mode="nearest")
    for gap in np.flatnonzero(np.diff(strong) > 1):
        near = min(int(np.searchsorted(clear, gap)), len(clear) - 1)
        if apart[gap] <= ONE_PERIOD * period[near]:
            within[strong[gap] + 1 : strong[gap + 1]] = True
    return within
