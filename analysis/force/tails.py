"""The end of a pull that dies away: where force is still there, though below every foot.

Between a level and a slowly falling force the noise crosses many times. Of all instants the end is
the one up to which force, summed up, stands most above the level: the least-squares place of a
single step down (a falling regression crosses the level there; Barlow, Bartholomew, Bremner & Brunk
1972, Statistical Inference under Order Restrictions, ch. 1). Strokes that resemble each other are
summed up together.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from analysis.signals.signal import FloatArray

CUT_SHORT_S, FEWEST_STEPS = 0.025, 1.5  # less is what a fitted foot, or a sample, may be off
CLEAR_OF_PULL_S = 0.12
NEIGHBOURS = 2  # pulls to each side that may be summed up with one, if they resemble it
ALIKE_PEAK, ALIKE_LENGTH = 0.25, 0.2  # how far their peaks and lengths may differ, as a share
SURE = 3.0  # standard deviations the force between two ends must stand above the level


@dataclass(frozen=True)
class Tails:
    """One side of all pulls of a stretch, time running towards the peak.

    Attributes
    ----------
    time_s, force_n : (n,) samples above rest
    step_s : usual seconds between samples
    begin_s, limit_s : (P,) where each pull is under way, and how far back to look
    length_s, peak_n : (P,) how long it is under way, and its peak
    noise_n : standard deviation of a sample, N
    """

    time_s: FloatArray
    force_n: FloatArray
    step_s: float
    begin_s: FloatArray
    limit_s: FloatArray
    length_s: FloatArray
    peak_n: FloatArray
    noise_n: float


def faint_ends(tails: Tails, found_s: FloatArray, share: float) -> FloatArray:
    """Move the ends of pulls out to where their force is gone; others stay where they were found.

    Parameters
    ----------
    found_s : (P,) ends as found so far
    share : of the peak at which a pull ends

    Returns
    -------
    (P,) s
    """
    earliest_s = np.maximum(tails.limit_s + CLEAR_OF_PULL_S, tails.time_s[0])
    reach_s = np.maximum(tails.begin_s - earliest_s, 0.0)
    steps = int(np.max(reach_s, initial=0.0) / tails.step_s)
    if steps < 2:
        return found_s
    back_s = tails.step_s * np.arange(1, steps + 1)
    at_s = tails.begin_s[:, None] - back_s
    height = np.interp(at_s, tails.time_s, tails.force_n) / np.maximum(tails.peak_n, 1e-9)[:, None]
    over = np.where(back_s <= reach_s[:, None], height - share, -share)
    over, together = _with_alike(over, tails)
    total = np.concatenate((np.zeros((len(over), 1)), np.cumsum(over, axis=1)), axis=1)
    end = total.argmax(axis=1)
    row = np.arange(len(over))
    known = np.clip(np.rint((tails.begin_s - found_s) / tails.step_s).astype(np.intp), 0, steps)
    noise = tails.noise_n / np.maximum(tails.peak_n, 1e-9)
    doubt = SURE * noise * np.sqrt(np.maximum(end - known, 1) / together)
    ends_s = tails.begin_s - tails.step_s * (end + 0.5)
    faint = (found_s - ends_s > max(CUT_SHORT_S, FEWEST_STEPS * tails.step_s)) & (
        total[row, end] - total[row, known] > doubt
    )
    moved: FloatArray = np.where(faint, ends_s, found_s)
    return moved


def _with_alike(over: FloatArray, tails: Tails) -> tuple[FloatArray, FloatArray]:
    """Mean of each tail with those of its neighbours that resemble it, and of how many: (P,)."""
    count = len(over)
    total, together = over.copy(), np.ones(count)
    for shift in (s for s in range(-NEIGHBOURS, NEIGHBOURS + 1) if s and abs(s) < count):
        to = np.arange(max(0, -shift), min(count, count - shift))
        peak, length = tails.peak_n, tails.length_s
        alike = np.abs(peak[to + shift] - peak[to]) < ALIKE_PEAK * peak[to]
        alike &= np.abs(length[to + shift] - length[to]) < ALIKE_LENGTH * length[to]
        total[to[alike]] += over[to[alike] + shift]
        together[to[alike]] += 1.0
    return total / together[:, None], together
