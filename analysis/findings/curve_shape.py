"""Where curves rise, dip and fall: the measurements the rules are made of."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from analysis.findings.shapes import PCT
from analysis.signals.signal import FloatArray


@dataclass(frozen=True)
class Dip:
    """A drop between two higher places of one curve; places in percent of the drive."""

    depth: float
    left_pct: float
    bottom_pct: float
    right_pct: float
    area_pct: float  # share of the peak times percent of the drive below the line across


NO_DIP = Dip(0.0, np.nan, np.nan, np.nan, 0.0)


def deepest_dip(curve: FloatArray, first_pct: float, last_pct: float) -> Dip:
    """Deepest drop of a curve whose bottom lies within two places.

    The depth counts from the lower of the two shoulders, each the highest point on its side.

    Parameters
    ----------
    curve : (P,) share of the peak over the drive
    """
    before = np.maximum.accumulate(curve)
    after = np.maximum.accumulate(curve[::-1])[::-1]
    depth = np.minimum(before, after) - curve
    depth = np.where((first_pct <= PCT) & (last_pct >= PCT), depth, 0.0)
    bottom = int(depth.argmax())
    if depth[bottom] <= 0.0:
        return NO_DIP
    level = min(before[bottom], after[bottom])
    left = int(np.flatnonzero(curve[: bottom + 1] >= level - 1e-12)[-1])
    right = bottom + int(np.flatnonzero(curve[bottom:] >= level - 1e-12)[0])
    inside = slice(left, right + 1)
    area = float(np.trapezoid(np.maximum(level - curve[inside], 0.0), PCT[inside]))
    return Dip(float(depth[bottom]), float(PCT[left]), float(PCT[bottom]), float(PCT[right]), area)


def width_above(curves: FloatArray, level: float) -> FloatArray:
    """Percent of the drive at or above a level: (S,)."""
    width: FloatArray = (curves >= level).mean(axis=1) * 100.0
    return width


def first_above(curves: FloatArray, level: float) -> FloatArray:
    """Where each curve first reaches a level, percent: (S,)."""
    at: FloatArray = PCT[(curves >= level).argmax(axis=1)]
    return at


def last_above(curves: FloatArray, level: float) -> FloatArray:
    """Where each curve stands last at or above a level, percent: (S,)."""
    at: FloatArray = PCT[len(PCT) - 1 - (curves[:, ::-1] >= level).argmax(axis=1)]
    return at


def mean_between(curves: FloatArray, first_pct: float, last_pct: float) -> FloatArray:
    """Mean of each curve between two places: (S,)."""
    inside = (first_pct <= PCT) & (last_pct >= PCT)
    area = np.trapezoid(curves[:, inside], PCT[inside], axis=1)
    return np.asarray(area) / (last_pct - first_pct)


def count_stairs(curve: FloatArray, noise: float, tread: float, riser: float) -> int:
    """Count the stairs of a build-up.

    The way up runs from 12 % to 95 % of the peak. A stair is a riser, a stretch steeper than the
    whole way up by `riser`; two risers are two stairs only with a tread between them, a stretch
    that rises slower than `tread` times the whole. Both must be worth more than the noise.

    Parameters
    ----------
    curve : (P,) share of the peak
    noise : noise left in the curve, share of the peak
    """
    begin = int((curve >= 0.12).argmax())
    end = int((curve >= 0.95).argmax())
    if end - begin < 12:
        return 1
    slope = np.gradient(curve[begin : end + 1]) / ((curve[end] - curve[begin]) / (end - begin))
    return _alternations(slope, curve[begin : end + 1], tread, riser, max(0.02, 2.0 * noise))


def _alternations(
    slope: FloatArray, height: FloatArray, tread: float, riser: float, least: float
) -> int:
    """Risers parted by treads: a riser counts when it lifts by at least `least`."""
    count, state, start = 0, "tread", 0
    kinds: NDArray[np.int8] = np.where(slope >= riser, 1, np.where(slope <= tread, -1, 0)).astype(
        np.int8
    )
    for i, kind in enumerate(kinds):
        if kind == 1 and state == "tread":
            state, start = "riser", i
        elif kind == -1 and state == "riser":
            state = "tread"
            if height[i] - height[start] >= least:
                count += 1
    if state == "riser" and height[-1] - height[start] >= least:
        count += 1
    return max(count, 1)


def middle_of(curves: FloatArray) -> FloatArray:
    """Percent of the drive about which the impulse balances: (S,); 50 for any symmetric curve."""
    return np.asarray((curves * PCT).sum(axis=1) / np.maximum(curves.sum(axis=1), 1e-9))
