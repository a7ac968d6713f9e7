"""Smooth motion through weighted readings: sparse normal equations with a third difference.

Motion is taken as one whose jerk is white noise; `jerk` is its spectral density (px^2/s^5), one
for all columns or points, or one of each. All weights are inverse variances.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from analysis.signals.signal import FloatArray

_TINY = 1e-9  # keeps what nothing is known of solvable


@dataclass(frozen=True, eq=False)
class Rod:
    """A length kept between two columns of points, or between one and a place that is given.

    Attributes
    ----------
    a, b : points; b is None where the other end is `end_px`
    weight : (T,)
    length_px : what it should be
    end_px : (T, 2)
    """

    a: int
    b: int | None
    weight: FloatArray
    length_px: float
    end_px: FloatArray | None = None


def jerk_rows(time_s: FloatArray, jerk: float) -> tuple[FloatArray, FloatArray]:
    """Coefficients (T-3, 4) that give the third derivative, and the weight (T-3,) of each."""
    if len(time_s) < 4:
        return np.zeros((0, 4)), np.zeros(0)
    t = np.lib.stride_tricks.sliding_window_view(time_s, 4)
    gap = t[:, :, None] - t[:, None, :]
    gap[:, np.arange(4), np.arange(4)] = 1.0
    return 6.0 / gap.prod(axis=2), (t[:, 3] - t[:, 0]) / (3.0 * jerk)


def smooth_columns(
    time_s: FloatArray, wanted: FloatArray, weight: FloatArray, jerk: float | FloatArray
) -> FloatArray:
    """Smooth C columns, each on its own.

    Parameters
    ----------
    jerk : one for all, or (C,)
    wanted, weight : (T, C) what to go through, and how strongly; weight 0 where nothing is known

    Returns
    -------
    (T, C)
    """
    from scipy.linalg import solveh_banded

    shared = _third_differences(time_s, jerk, wanted.shape[1])
    out = np.empty_like(wanted)
    for c in range(wanted.shape[1]):
        bands = shared[:, :, c].copy()
        bands[0] += weight[:, c] + _TINY
        out[:, c] = solveh_banded(bands, weight[:, c] * wanted[:, c], lower=True)
    return out


def _third_differences(time_s: FloatArray, jerk: float | FloatArray, columns: int) -> FloatArray:
    """Bands (4, T, C) of what jerk costs, for each column its own."""
    bands = _third_difference(*jerk_rows(time_s, 1.0), len(time_s))
    each: FloatArray = bands[:, :, None] / np.broadcast_to(np.asarray(jerk, float), (columns,))
    return each


def _third_difference(rows: FloatArray, row_weight: FloatArray, frames: int) -> FloatArray:
    bands = np.zeros((4, frames))
    for a in range(4):
        for b in range(a, 4):
            bands[b - a, a : a + len(rows)] += row_weight * rows[:, a] * rows[:, b]
    return bands


def column_variances(
    time_s: FloatArray, weight: FloatArray, jerk: float | FloatArray
) -> FloatArray:
    """Variance (T, C) of what `smooth_columns` gives: the diagonal of the inverse.

    By the recursion of Takahashi on the banded factor, all columns at once.
    """
    frames, columns = weight.shape
    lower, diagonal = _factor(_third_differences(time_s, jerk, columns), weight + _TINY)
    # z[k] holds the inverse between t and t + k for the frames after the present one.
    inverse = np.zeros((frames + 3, 4, columns))
    for t in range(frames - 1, -1, -1):
        near = inverse[t + 1 : t + 4]
        l1, l2, l3 = lower[t]
        z1 = -(l1 * near[0, 0] + l2 * near[0, 1] + l3 * near[0, 2])
        z2 = -(l1 * near[0, 1] + l2 * near[1, 0] + l3 * near[1, 1])
        z3 = -(l1 * near[0, 2] + l2 * near[1, 1] + l3 * near[2, 0])
        inverse[t, 1], inverse[t, 2], inverse[t, 3] = z1, z2, z3
        inverse[t, 0] = 1.0 / diagonal[t] - (l1 * z1 + l2 * z2 + l3 * z3)
    return np.maximum(inverse[:frames, 0], 0.0)


def _factor(bands: FloatArray, weight: FloatArray) -> tuple[FloatArray, FloatArray]:
    """L (T, 3, C), unit lower with three bands, and D (T, C) of each column's matrix."""
    frames, columns = weight.shape
    lower = np.zeros((frames + 3, 3, columns))
    diagonal = np.ones((frames + 3, columns))
    padded = np.zeros((4, frames + 3, columns))
    padded[:, :frames] = bands
    rest = np.zeros((frames + 3, 3, columns))  # L D below the diagonal
    for t in range(frames):
        d = padded[0, t] + weight[t]
        below = padded[1:, t].copy()
        for k in (1, 2, 3):
            if t - k < 0:
                continue
            l_k = lower[t - k, k - 1]
            d = d - l_k * rest[t - k, k - 1]
            for m in range(1, 4 - k):
                below[m - 1] -= l_k * rest[t - k, k + m - 1]
        diagonal[t], rest[t] = d, below
        lower[t] = below / d
    return lower[:frames], diagonal[:frames]


def smooth_linked(
    time_s: FloatArray,
    wanted: FloatArray,
    weight: FloatArray,
    jerk: float | FloatArray,
    rods: Sequence[Rod],
    around: FloatArray,
) -> FloatArray:
    """Smooth P points that are linked by rods; one step from the places `around`.

    Parameters
    ----------
    wanted, around : (T, P, 2) px
    weight : (T, P)
    jerk : one for all, or (P,)

    Returns
    -------
    (T, P, 2)
    """
    from scipy.linalg import solveh_banded

    frames, points = weight.shape
    wide = 2 * points
    bands = np.zeros((3 * wide + 1, frames, wide))
    bands[::wide] += np.repeat(_third_differences(time_s, jerk, points), 2, axis=2)
    bands[0] += np.repeat(weight, 2, axis=1) + _TINY
    right = (weight[:, :, None] * wanted).reshape(frames, wide)
    for rod in rods:
        _add_rod(bands, right, rod, around)
    flat = solveh_banded(bands.reshape(3 * wide + 1, -1), right.reshape(-1), lower=True)
    out: FloatArray = flat.reshape(frames, points, 2)
    return out


def _add_rod(bands: FloatArray, right: FloatArray, rod: Rod, around: FloatArray) -> None:
    """Add weight * (u . (a - b) - length)^2 with the direction u of the places now."""
    other = around[:, rod.b] if rod.b is not None else rod.end_px
    assert other is not None
    gap = around[:, rod.a] - other
    far = np.maximum(np.hypot(gap[:, 0], gap[:, 1]), 1e-6)
    unit = gap / far[:, None]
    target = np.full(len(unit), rod.length_px)
    parts = [(2 * rod.a + axis, unit[:, axis]) for axis in (0, 1)]
    if rod.b is None:
        target = target + (unit * other).sum(axis=1)
    else:
        parts += [(2 * rod.b + axis, -unit[:, axis]) for axis in (0, 1)]
    for i, factor in parts:
        right[:, i] += rod.weight * factor * target
        for j, second in parts:
            if j <= i:
                bands[i - j, :, j] += rod.weight * factor * second
