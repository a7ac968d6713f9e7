"""Where a drive starts and ends: noisy force crossing a level, to a part of a sample.

On quiet samples the crossing is read off by a straight line between two of them. On noisy ones a
single sample says little, so the foot of the build-up is fitted (`analysis.force.feet`).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from analysis.force.cutting import Pull, Stretch
from analysis.force.feet import Foot, fit_feet
from analysis.signals.signal import FloatArray

SEARCH_S = 0.5  # how far outside a pull its edge is looked for
# The level of rest is the middle value of this much recovery, this far clear of the pulls.
REST_S = 0.8
CLEAR_S = 0.12
NEIGHBOURS = 2  # pulls to each side whose rest is averaged in: drift is slower than that
NEIGHBOURS_S = 12.0
# Noise below this share of the peak moves a straight-line crossing by less than a millisecond or
# two: slopes at the foot of a drive are 2-4 peaks a second.
QUIET_SHARE = 0.003


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
    time_s, force_n : (n,) all samples of the stretch
    smooth_n : (m,) low-passed force on the even clock that starts at `start_s`
    begin_s, peak_s, limit_s : (P,) where each pull starts, peaks, and how far back to look
    rest_n, peak_n : (P,) level of rest and peak above it
    """

    time_s: FloatArray
    force_n: FloatArray
    smooth_n: FloatArray
    start_s: float
    step_s: float
    begin_s: FloatArray
    peak_s: FloatArray
    limit_s: FloatArray
    rest_n: FloatArray
    peak_n: FloatArray


def cut_edges(stretch: Stretch, pulls: Sequence[Pull], share: float) -> list[Edges]:
    """Find where each pull crosses a share of its own peak, both counted from rest.

    Parameters
    ----------
    pulls : of this stretch, in order of time
    share : of the peak, 0-1
    """
    if not pulls:
        return []
    before, after, noise_n = _rest(stretch, pulls)
    begin = np.array([p.start_s for p in pulls])
    end = np.array([p.end_s for p in pulls])
    top = np.array([p.peak_s for p in pulls])
    peak = np.array([p.peak_n + p.rest_n for p in pulls])
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
        before,
        peak - before,
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
        after[::-1],
        (peak - after)[::-1],
    )
    catches = _cross(rise, share, noise_n)
    finishes = [(-at, is_open) for at, is_open in reversed(_cross(fall, share, noise_n))]
    return [
        Edges(catch, finish, open_start, open_end)
        for (catch, open_start), (finish, open_end) in zip(catches, finishes, strict=True)
    ]


def _highest(stretch: Stretch, begin: FloatArray, end: FloatArray) -> FloatArray:
    first, last = np.searchsorted(stretch.time_s, begin), np.searchsorted(stretch.time_s, end)
    # The even clock may end a little after the last sample.
    first = np.minimum(first, len(stretch.time_s) - 1)
    return np.array(
        [stretch.force_n[a : max(b, a + 1)].max() for a, b in zip(first, last, strict=True)]
    )


def _rest(stretch: Stretch, pulls: Sequence[Pull]) -> tuple[FloatArray, FloatArray, float]:
    """Level of rest before and after each pull, (P,) N each, and the noise about it in N."""
    before, after, noise = [], [], []
    for i, pull in enumerate(pulls):
        earlier = pulls[i - 1].end_s + CLEAR_S if i else -np.inf
        later = pulls[i + 1].start_s - CLEAR_S if i + 1 < len(pulls) else np.inf
        begin, end = pull.start_s - CLEAR_S, pull.end_s + CLEAR_S
        level, spread = _middle(stretch, max(begin - REST_S, earlier), begin)
        before.append(level)
        noise.append(spread)
        level, _ = _middle(stretch, end, min(end + REST_S, later))
        after.append(level)
    known = np.array(noise)
    known = known[np.isfinite(known)]
    noise_n = float(np.median(known)) if len(known) else 0.0
    at_s = np.array([p.peak_s for p in pulls])
    otherwise = np.array([p.rest_n for p in pulls])
    return (
        _calm(np.array(before), at_s, otherwise),
        _calm(np.array(after), at_s, otherwise),
        noise_n,
    )


def _middle(stretch: Stretch, begin_s: float, end_s: float) -> tuple[float, float]:
    """Median of a piece of recovery and its robust standard deviation, NaN where too short."""
    first, last = np.searchsorted(stretch.time_s, [begin_s, end_s])
    rest = stretch.force_n[first:last]
    if len(rest) < 5:
        return float("nan"), float("nan")
    middle = float(np.median(rest))
    return middle, 1.4826 * float(np.median(np.abs(rest - middle)))


def _calm(levels: FloatArray, at_s: FloatArray, otherwise: FloatArray) -> FloatArray:
    """Average each pull's level of rest with its neighbours' that are near in time: (P,)."""
    n = len(levels)
    near = np.full((2 * NEIGHBOURS + 1, n), np.nan)
    for row, shift in enumerate(range(-NEIGHBOURS, NEIGHBOURS + 1)):
        to = np.arange(max(0, -shift), min(n, n - shift))
        close = np.abs(at_s[to + shift] - at_s[to]) < NEIGHBOURS_S
        near[row, to[close]] = levels[to[close] + shift]
    known = np.isfinite(near)
    total = np.where(known, near, 0.0).sum(axis=0)
    count = known.sum(axis=0)
    return np.where(count > 0, total / np.maximum(count, 1), otherwise)


def _cross(side: _Side, share: float, noise_n: float) -> list[tuple[float, bool]]:
    """Where each pull rises through the share of its peak, and whether the samples begin later."""
    found = [_straight(side, i, share) for i in range(len(side.begin_s))]
    whole = side.peak_n > 0.0
    quiet = noise_n < QUIET_SHARE * float(np.median(side.peak_n[whole])) if whole.any() else True
    if quiet:
        return found
    fitted = [i for i, (_, is_open) in enumerate(found) if not is_open and whole[i]]
    feet = [_foot(side, i, noise_n) for i in fitted]
    for i, at in zip(fitted, fit_feet(feet, share), strict=True):
        if at is not None:
            found[i] = (at, False)
    return found


def _straight(side: _Side, i: int, share: float) -> tuple[float, bool]:
    """Upward crossing at the foot of a pull, on a straight line between two samples."""
    level_n = side.rest_n[i] + share * side.peak_n[i]
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
    top_n = side.rest_n[i] + side.peak_n[i] * min(0.45, 0.12 + 10.0 * noise)
    at = max(0, int((side.begin_s[i] - side.start_s) / side.step_s))
    until = max(at + 2, int((side.peak_s[i] - side.start_s) / side.step_s) + 1)
    over = np.flatnonzero(side.smooth_n[at:until] >= top_n)
    top_s = side.start_s + (at + (int(over[0]) if len(over) else until - at)) * side.step_s
    first, last = np.searchsorted(
        side.time_s, [max(side.limit_s[i], side.begin_s[i] - 0.25), top_s], side="right"
    )
    values = (side.force_n[first:last] - side.rest_n[i]) / side.peak_n[i]
    return Foot(side.time_s[first:last], values, float(side.begin_s[i]), noise)
