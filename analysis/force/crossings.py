"""Where a drive starts and ends: noisy force crossing a level, to a part of a sample.

On quiet samples the crossing is read off by a straight line between two of them. On noisy ones a
single sample says little, so the foot of the build-up is fitted (`analysis.force.feet`). Where
force dies away long before it is gone, no foot says when; its area does (`analysis.force.tails`).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from analysis.force.cutting import Pull, Stretch
from analysis.force.feet import Foot, fit_feet
from analysis.force.tails import Tails, faint_ends
from analysis.signals.signal import FloatArray

SEARCH_S = 0.5  # how far outside a pull its edge is looked for
# Noise below this share of the peak moves a straight-line crossing by less than a millisecond or
# two: slopes at the foot of a drive are 2-4 peaks a second.
QUIET_SHARE = 0.003
# Samples further apart than this leave too much of a quick build-up between two of them.
DENSE_S = 0.025
# A single sample this many standard deviations off a level is on that side of it.
CLEARLY = 4.0


@dataclass(frozen=True)
class Edges:
    """Catch and finish of one pull, in seconds; open where the samples begin or end first."""

    catch_s: float
    finish_s: float
    open_start: bool = False
    open_end: bool = False


@dataclass(frozen=True)
class _Side:
    """One side of the pulls with time running towards the peak; the finish runs backwards.

    Attributes
    ----------
    time_s, force_n : (n,) all samples of the stretch, above rest
    smooth_n : (m,) low-passed force on the even clock that starts at `start_s`
    begin_s, peak_s, limit_s : (P,) where each pull starts, peaks, and how far back to look
    length_s, peak_n : (P,) how long each pull is under way, and its peak
    """

    time_s: FloatArray
    force_n: FloatArray
    smooth_n: FloatArray
    start_s: float
    step_s: float
    begin_s: FloatArray
    peak_s: FloatArray
    limit_s: FloatArray
    length_s: FloatArray
    peak_n: FloatArray


def cut_edges(stretch: Stretch, pulls: Sequence[Pull], share: float, noise_n: float) -> list[Edges]:
    """Find where each pull crosses a share of its own peak.

    Parameters
    ----------
    stretch : with its level of rest taken off
    pulls : of this stretch, in order of time
    share : of the peak, 0-1
    noise_n : standard deviation of the samples about rest, N
    """
    if not pulls:
        return []
    begin = np.array([p.start_s for p in pulls])
    end = np.array([p.end_s for p in pulls])
    top = np.array([p.peak_s for p in pulls])
    peak = _smooth_peaks(stretch, begin, end)
    if noise_n < QUIET_SHARE * float(np.median(peak)):
        peak = np.maximum(peak, _highest(stretch, begin, end))
    earliest = np.maximum(begin - SEARCH_S, np.concatenate(([-np.inf], end[:-1])))
    latest = np.minimum(end + SEARCH_S, np.concatenate((begin[1:], [np.inf])))
    rise = _Side(
        stretch.time_s,
        stretch.force_n,
        stretch.smooth_n,
        stretch.start_s,
        stretch.step_s,
        begin,
        top,
        earliest,
        end - begin,
        peak,
    )
    fall = _Side(
        -stretch.time_s[::-1],
        stretch.force_n[::-1],
        stretch.smooth_n[::-1],
        -(stretch.start_s + (len(stretch.smooth_n) - 1) * stretch.step_s),
        stretch.step_s,
        -end[::-1],
        -top[::-1],
        -latest[::-1],
        (end - begin)[::-1],
        peak[::-1],
    )
    catches = _cross(rise, share, noise_n)
    finishes = [(-at, is_open) for at, is_open in reversed(_cross(fall, share, noise_n))]
    return [
        Edges(catch, finish, open_start, open_end)
        for (catch, open_start), (finish, open_end) in zip(catches, finishes, strict=True)
    ]


def _smooth_peaks(stretch: Stretch, begin: FloatArray, end: FloatArray) -> FloatArray:
    first = np.rint((begin - stretch.start_s) / stretch.step_s).astype(np.intp)
    last = np.rint((end - stretch.start_s) / stretch.step_s).astype(np.intp) + 1
    return np.array(
        [stretch.smooth_n[a : max(b, a + 1)].max() for a, b in zip(first, last, strict=True)]
    )


def _highest(stretch: Stretch, begin: FloatArray, end: FloatArray) -> FloatArray:
    first, last = np.searchsorted(stretch.time_s, begin), np.searchsorted(stretch.time_s, end)
    # The even clock may end a little after the last sample.
    first = np.minimum(first, len(stretch.time_s) - 1)
    return np.array(
        [stretch.force_n[a : max(b, a + 1)].max() for a, b in zip(first, last, strict=True)]
    )


def _cross(side: _Side, share: float, noise_n: float) -> list[tuple[float, bool]]:
    """Where each pull rises through the share of its peak, and whether the samples begin later."""
    found = [_straight(side, i, share) for i in range(len(side.begin_s))]
    whole = side.peak_n > 0.0
    quiet = noise_n < QUIET_SHARE * float(np.median(side.peak_n[whole])) if whole.any() else True
    if quiet and side.step_s <= DENSE_S:
        return found
    fitted = [i for i, (_, is_open) in enumerate(found) if not is_open and whole[i]]
    feet = [_foot(side, i, noise_n) for i in fitted]
    for i, at in zip(fitted, fit_feet(feet, share), strict=True):
        if at is not None:
            at = max(_between_clear_samples(side, i, share, noise_n, at), float(side.time_s[0]))
            found[i] = (at, False)
    tails = Tails(
        side.time_s, side.force_n, side.step_s, side.begin_s, side.limit_s, side.length_s,
        side.peak_n, noise_n,
    )  # fmt: skip
    ends = faint_ends(tails, np.array([at for at, _ in found]), share)
    return [
        (float(at), is_open) if not is_open and whole[i] else (before, is_open)
        for i, ((before, is_open), at) in enumerate(zip(found, ends, strict=True))
    ]


def _between_clear_samples(side: _Side, i: int, share: float, noise_n: float, at_s: float) -> float:
    """Hold a fitted crossing between samples that are clearly below the level and clearly above.

    Where samples stand far apart, all that a foot is fitted to may lie before its rise.
    """
    level_n, clear_n = share * side.peak_n[i], CLEARLY * noise_n
    after = int(np.searchsorted(side.time_s, at_s))
    last = int(np.searchsorted(side.time_s, side.peak_s[i]))
    if 0 < after <= last and side.force_n[after - 1] > level_n + clear_n:
        # It has risen before: go back to where it had not.
        while after > 1 and side.force_n[after - 1] > level_n + clear_n:
            after -= 1
            if side.time_s[after] <= side.limit_s[i]:
                return at_s
    elif after < last and side.force_n[after] < level_n - clear_n:
        while after < last and side.force_n[after] < level_n - clear_n:
            after += 1
    else:
        return at_s
    low_n, high_n = side.force_n[after - 1], side.force_n[after]
    part = float(np.clip((level_n - low_n) / max(high_n - low_n, 1e-9), 0.0, 1.0))
    return float(side.time_s[after - 1] + part * (side.time_s[after] - side.time_s[after - 1]))


def _straight(side: _Side, i: int, share: float) -> tuple[float, bool]:
    """Upward crossing at the foot of a pull, on a straight line between two samples."""
    level_n = share * side.peak_n[i]
    first, last = np.searchsorted(side.time_s, [side.limit_s[i], side.peak_s[i]])
    last = min(int(last), len(side.time_s) - 1)
    time_s, force_n = side.time_s[first : last + 1], side.force_n[first : last + 1]
    below = np.flatnonzero(force_n < level_n)
    if len(below) == 0 or below[-1] + 1 >= len(force_n):
        return float(side.time_s[min(int(first), len(side.time_s) - 1)]), True
    # A give may dip below the level: the drive starts at the rise nearest to where the pull is
    # clearly under way, not at the last one before the peak.
    under_way = int(np.searchsorted(time_s, side.begin_s[i]))
    early = below[below <= under_way]
    since = int(early[-1]) if len(early) else int(below[0])
    k = since + int(np.argmax(force_n[since:] >= level_n)) - 1
    share_of_step = (level_n - force_n[k]) / (force_n[k + 1] - force_n[k])
    return float(time_s[k] + share_of_step * (time_s[k + 1] - time_s[k])), False


def _foot(side: _Side, i: int, noise_n: float) -> Foot:
    """Samples about the foot of one build-up, as shares of its peak above rest.

    Noisier samples need more of the build-up to say where it starts; quiet ones less, which
    keeps the fit off the part that is shaped differently.
    """
    noise = noise_n / float(side.peak_n[i])
    top_n = side.peak_n[i] * min(0.45, 0.12 + 10.0 * noise)
    at = max(0, int((side.begin_s[i] - side.start_s) / side.step_s))
    until = max(at + 2, int((side.peak_s[i] - side.start_s) / side.step_s) + 1)
    over = np.flatnonzero(side.smooth_n[at:until] >= top_n)
    top_s = side.start_s + (at + (int(over[0]) if len(over) else until - at)) * side.step_s
    first, last = np.searchsorted(
        side.time_s, [max(side.limit_s[i], side.begin_s[i] - 0.25), top_s], side="right"
    )
    # One sample more: where they stand far apart, it alone says that the rise has begun.
    last = min(int(last) + 1, len(side.time_s))
    values = side.force_n[first:last] / side.peak_n[i]
    return Foot(
        side.time_s[first:last], values, float(side.begin_s[i]), noise, top_n / side.peak_n[i]
    )
