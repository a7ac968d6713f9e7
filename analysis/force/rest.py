"""The level of rest: what the recorder reads while nobody pulls, followed through a piece.

Taken from the quiet part of every recovery, once behind the finish before and once ahead of the
next catch: a cord that stretches pulls harder at the one than at the other. Between these it runs
smoothly, so a recorder that drifts is followed from stroke to stroke.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from analysis.signals.signal import FloatArray

# A level is the middle value of this much recovery, or of two thirds of a shorter one, this far
# clear of the pulls.
REST_S = 0.8
OF_RECOVERY = 0.65
CLEAR_S = 0.12
CLOSE_S = 0.25  # levels nearer to each other are taken together
FEWEST = 5  # samples that have a middle value worth the name
# Levels are averaged with their neighbours' as far as they differ by no more than their noise.
NEIGHBOURS = 2
NEIGHBOURS_S = 12.0
AROUND = 15  # levels to each side that say how much they wander
WANDER_FROM = 1.5  # times what noise alone would do
FARTHEST = 4.0  # robust standard deviations one level may stand off its neighbours
BETWEEN = 8  # straight pieces the smooth course from one level to the next is drawn with
NOISE_WINDOWS = 400  # looked at for the noise
CHUNK = 2000  # windows looked at together
# Rest is worth a word from this share of the usual peak on: the cord of a machine alone pulls less
# beside hard strokes. Common practice, no source.
WORTH_SAYING = 0.03


@dataclass(frozen=True)
class Rest:
    """Force while nobody pulls, on straight lines between instants; constant beyond both ends.

    Attributes
    ----------
    time_s, level_n : (K,) s and N; empty where nothing is known of it
    noise_n : standard deviation of the samples about it, N
    """

    time_s: FloatArray
    level_n: FloatArray
    noise_n: float = 0.0

    def at(self, time_s: FloatArray) -> FloatArray:
        """Level at some instants, N; 0 where nothing is known."""
        if len(self.time_s) == 0:
            return np.zeros(np.shape(time_s))
        level: FloatArray = np.interp(time_s, self.time_s, self.level_n)
        return level


NO_REST = Rest(np.empty(0), np.empty(0))


def rest_course(
    time_s: FloatArray, force_n: FloatArray, begin_s: FloatArray, end_s: FloatArray
) -> Rest:
    """Follow the level of rest between pulls.

    Parameters
    ----------
    time_s, force_n : (n,) samples without a silence
    begin_s, end_s : (P,) where each pull is under way and where it is over, in order

    Returns
    -------
    Without any level where no recovery is long enough to tell.
    """
    first, last, late = _windows(time_s, begin_s, end_s)
    known = last - first >= FEWEST
    if not known.any():
        return NO_REST
    first, last, late = first[known], last[known], late[known]
    level = _middles(force_n, first, last)
    at_s = 0.5 * (time_s[first] + time_s[last - 1])
    noise_n = _noise(time_s, force_n, first, last)
    # Of a middle value of white noise; twice that, for noise lingers from sample to sample.
    variance = np.pi * noise_n**2 / (last - first)
    for kind in (late, ~late):
        level[kind] = _steady(at_s[kind], level[kind], variance[kind])
    order = np.argsort(at_s, kind="stable")
    return Rest(*_smooth_course(at_s[order], level[order]), noise_n)


def joined(rests: Sequence[Rest]) -> Rest:
    """Give the levels of stretches one after the other as one course."""
    known = [rest for rest in rests if len(rest.time_s)]
    if not known:
        return NO_REST
    return Rest(
        np.concatenate([rest.time_s for rest in known]),
        np.concatenate([rest.level_n for rest in known]),
        float(np.median([rest.noise_n for rest in known])),
    )


def said_of(levels_n: FloatArray, peaks_n: FloatArray, kept: bool) -> str:
    """Say what was taken off, or left, in one sentence; "" where it is too little to matter.

    Parameters
    ----------
    levels_n, peaks_n : (S,) level of rest at each stroke, and its peak above it
    kept : the level was left in the force
    """
    if len(levels_n) == 0:
        return ""
    limit_n = WORTH_SAYING * float(np.median(peaks_n))
    low, usual, high = np.percentile(levels_n, [5.0, 50.0, 95.0])
    if max(abs(usual), abs(low), abs(high)) <= limit_n:
        return ""
    done = "it was kept as recorded" if kept else "that was taken off"
    if high - low > 2.0 * limit_n:
        return (
            f"The force reads {low:.0f} to {high:.0f} N while nobody pulls, for the recorder "
            f"drifts; {done}."
        )
    return f"The force reads {usual:.0f} N while nobody pulls; {done}."


def _windows(
    time_s: FloatArray, begin_s: FloatArray, end_s: FloatArray
) -> tuple[NDArray[np.intp], NDArray[np.intp], NDArray[np.bool_]]:
    """Quiet parts of the recoveries as samples from and to, and whether ahead of a catch."""
    quiet_from = np.concatenate(([time_s[0]], end_s + CLEAR_S))
    quiet_to = np.concatenate((begin_s - CLEAR_S, [time_s[-1]]))
    whole = quiet_to - quiet_from
    # Before the first pull and after the last nothing has to be shared.
    share = np.full(len(whole), OF_RECOVERY)
    share[[0, -1]] = 1.0
    length = np.minimum(REST_S, share * whole)
    length = np.where(whole > 0.0, length, 0.0)
    behind = np.searchsorted(time_s, [quiet_from[1:], (quiet_from + length)[1:]])
    ahead = np.searchsorted(time_s, [(quiet_to - length)[:-1], quiet_to[:-1]])
    first = np.concatenate((behind[0], ahead[0]))
    last = np.concatenate((behind[1], ahead[1]))
    late = np.concatenate((np.zeros(len(end_s), bool), np.ones(len(begin_s), bool)))
    return first, last, late


def _middles(force_n: FloatArray, first: NDArray[np.intp], last: NDArray[np.intp]) -> FloatArray:
    """Median of each window, (W,) N."""
    middle = np.empty(len(first))
    for begin in range(0, len(first), CHUNK):
        rows = slice(begin, begin + CHUNK)
        count = (last - first)[rows]
        place = np.arange(int(count.max()))
        at = np.minimum(first[rows, None] + place, last[rows, None] - 1)
        values = np.where(place < count[:, None], force_n[at], np.inf)
        middle[rows] = _median_of(values, count)
    return middle


def _noise(
    time_s: FloatArray, force_n: FloatArray, first: NDArray[np.intp], last: NDArray[np.intp]
) -> float:
    """Robust standard deviation about a straight line, the middle one of some windows, N."""
    spread = []
    for i in range(0, len(first), max(1, len(first) // NOISE_WINDOWS)):
        window = slice(int(first[i]), int(last[i]))
        since = time_s[window] - time_s[window].mean()
        values = force_n[window]
        slope = float(since @ values) / max(float(since @ since), 1e-12)
        off = values - slope * since
        spread.append(1.4826 * float(np.median(np.abs(off - np.median(off)))))
    return float(np.median(spread))


def _median_of(values: FloatArray, count: NDArray[np.intp]) -> FloatArray:
    """Median of the first `count` places of each row; what is beyond them is infinite."""
    ordered = np.sort(values, axis=1)
    row = np.arange(len(values))
    middle: FloatArray = 0.5 * (ordered[row, (count - 1) // 2] + ordered[row, count // 2])
    return middle


def _steady(at_s: FloatArray, level_n: FloatArray, variance: FloatArray) -> FloatArray:
    """Average levels with their neighbours' unless they wander more than their noise: (n,).

    The share of its own that a level keeps grows with what neighbours differ by beyond noise
    (James & Stein 1961, Proc 4th Berkeley Symp 1:361-379).
    """
    from scipy.ndimage import percentile_filter

    n = len(level_n)
    if n < 2:
        return level_n
    total, count = np.zeros(n), np.zeros(n)
    for shift in range(-NEIGHBOURS, NEIGHBOURS + 1):
        to = np.arange(max(0, -shift), min(n, n - shift))
        to = to[np.abs(at_s[to + shift] - at_s[to]) < NEIGHBOURS_S] if shift else to[:0]
        total[to] += level_n[to + shift]
        count[to] += 1.0
    others = np.where(count > 0.0, total / np.maximum(count, 1.0), level_n)
    apart = (level_n - others) ** 2
    expected = variance * (1.0 + 1.0 / np.maximum(count, 1.0))
    size = min(n, 2 * AROUND + 1)
    usual = percentile_filter(apart, 50.0, size=size, mode="nearest") / 0.455
    own = np.clip(1.0 - WANDER_FROM * expected / np.maximum(usual, 1e-12), 0.0, 1.0)
    mean = (total + level_n) / (count + 1.0)
    most = FARTHEST * np.sqrt(usual)
    steady: FloatArray = mean + own * np.clip(level_n - mean, -most, most)
    return steady


def _smooth_course(at_s: FloatArray, level_n: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Draw a smooth course through levels; beside a jump it swings over less than a spline."""
    # Two of one short recovery are one: a slope between them would say nothing of the drives.
    group = np.concatenate(([0], np.cumsum(np.diff(at_s) > CLOSE_S)))
    count = np.bincount(group)
    at_s, level_n = np.bincount(group, at_s) / count, np.bincount(group, level_n) / count
    if len(at_s) < 3:
        return at_s, level_n
    part = np.arange(BETWEEN) / BETWEEN
    fine = np.append((at_s[:-1, None] + np.diff(at_s)[:, None] * part).ravel(), at_s[-1])
    course = np.append(_between(at_s, level_n, part).ravel(), level_n[-1])
    return fine, course


def _between(at: FloatArray, value: FloatArray, part: FloatArray) -> FloatArray:
    """Values at parts of the way from each of three points or more to the next, (N - 1, parts).

    Cubic pieces with slopes after Akima (1970, J ACM 17:589-602), whose weights half the sum of
    neighbouring slopes is added to, so that they are never all zero. `Akima1DInterpolator` of
    scipy gives the same; to import its package takes as long as to read and cut a recording.
    """
    wide = np.diff(at)
    rise = np.diff(value) / wide
    before = 2.0 * rise[0] - rise[1], 3.0 * rise[0] - 2.0 * rise[1]
    after = 2.0 * rise[-1] - rise[-2], 3.0 * rise[-1] - 2.0 * rise[-2]
    m = np.concatenate((before[::-1], rise, after))
    weight = np.abs(np.diff(m)) + 0.5 * np.abs(m[1:] + m[:-1])
    left, right = weight[2:], weight[:-2]
    both = left + right
    flat = both <= 1e-9 * both.max()
    share = np.where(flat, 0.5, right / np.where(flat, 1.0, both))
    slope = m[1:-2] + share * (m[2:-1] - m[1:-2])
    cubic = (slope[:-1] + slope[1:] - 2.0 * rise) * wide
    square = (rise - slope[:-1]) * wide - cubic
    bend = (square[:, None] + cubic[:, None] * part) * part
    between: FloatArray = value[:-1, None] + part * ((slope[:-1] * wide)[:, None] + bend)
    return between
