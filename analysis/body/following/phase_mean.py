"""Where points are at the same moment of the other strokes."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from analysis.signals.signal import FloatArray

BINS = 60
FEWEST_STROKES = 3
_TRUST_OF_WRONG = 0.05
_WINDOW = 0.15  # strokes on either side of a click within which a stroke found wrong is not trusted


@dataclass(frozen=True, eq=False)
class Strokes:
    """Points of S strokes at the same `BINS` phases.

    Attributes
    ----------
    at_px : (S, BINS, P, 2) NaN where a stroke was not seen
    trust : (S, BINS, P)
    """

    at_px: FloatArray
    trust: FloatArray


def strokes_of(phase: FloatArray, xy_px: FloatArray, known: NDArray[np.bool_]) -> Strokes:
    """Cut points (T, P, 2) into strokes.

    Parameters
    ----------
    phase : (T,) NaN where unknown
    known : (T, P) where the points deserve to be asked
    """
    inside = np.isfinite(phase)
    points = xy_px.shape[1]
    if not inside.any():
        return Strokes(np.zeros((0, BINS, points, 2)), np.zeros((0, BINS, points)))
    count = int(np.ceil(np.nanmax(phase)))
    grid = np.arange(count * BINS) / BINS
    at = np.full((len(grid), points, 2), np.nan)
    for p in range(points):
        rows = inside & known[:, p]
        if rows.sum() < 2:
            continue
        seen = phase[rows]
        near = np.abs(grid - seen[np.clip(np.searchsorted(seen, grid), 0, len(seen) - 1)])
        near = np.minimum(near, np.abs(grid - seen[np.maximum(np.searchsorted(seen, grid) - 1, 0)]))
        for axis in (0, 1):
            values = np.interp(grid, seen, xy_px[rows, p, axis], left=np.nan, right=np.nan)
            at[:, p, axis] = np.where(near < 2.0 / BINS + 0.02, values, np.nan)
    cut = at.reshape(count, BINS, points, 2)
    return Strokes(cut, np.ones(cut.shape[:3]))


def middle(strokes: Strokes) -> tuple[FloatArray, FloatArray]:
    """Weighted median (BINS, P, 2) over strokes and their spread (BINS, P) about it, px.

    NaN where fewer than three strokes were seen.
    """
    if len(strokes.at_px) < FEWEST_STROKES:
        empty = np.full(strokes.at_px.shape[1:], np.nan)
        return empty, empty[..., 0]
    seen = np.isfinite(strokes.at_px).all(axis=-1)
    weight = np.where(seen, strokes.trust, 0.0)
    centre = np.stack([_median(strokes.at_px[..., k], weight) for k in (0, 1)], axis=-1)
    off = np.hypot(*np.moveaxis(strokes.at_px - centre, -1, 0))
    spread = _median(off, weight) / 1.18  # of a coordinate, from the median of the distance
    few = seen.sum(axis=0) < FEWEST_STROKES
    centre[few], spread[few] = np.nan, np.nan
    return centre, spread


def _median(values: FloatArray, weight: FloatArray) -> FloatArray:
    """Weighted median over the first axis; the middle of two that halve the weight."""
    filled = np.where(weight > 0.0, values, np.inf)
    order = np.argsort(filled, axis=0)
    ranked = np.take_along_axis(filled, order, axis=0)
    share = np.cumsum(np.take_along_axis(weight, order, axis=0), axis=0)
    half = 0.5 * share[-1]
    low = np.argmax(share >= half - 1e-9, axis=0)[None]
    high = np.argmax(share > half + 1e-9, axis=0)[None]
    pick = np.take_along_axis(ranked, low, axis=0)[0], np.take_along_axis(ranked, high, axis=0)[0]
    with np.errstate(invalid="ignore"):
        return np.where(
            np.isfinite(pick[0]) & np.isfinite(pick[1]), 0.5 * (pick[0] + pick[1]), np.nan
        )


def on_frames(phase: FloatArray, grid_values: FloatArray) -> FloatArray:
    """Read values (BINS, ...) at the phases of T frames: (T, ...), NaN where phase is unknown."""
    place = np.mod(phase, 1.0) * BINS
    inside = np.isfinite(place)
    low = np.where(inside, place, 0.0).astype(np.intp) % BINS
    share = np.where(inside, place, np.nan) - low
    shape = (-1,) + (1,) * (grid_values.ndim - 1)
    share = share.reshape(shape)
    out: FloatArray = grid_values[low] * (1.0 - share) + grid_values[(low + 1) % BINS] * share
    return out


def on_strokes(phase: FloatArray, grid_values: FloatArray) -> FloatArray:
    """Read values (S, BINS, P) of each stroke at T frames: (T, P), NaN where phase is unknown."""
    inside = np.isfinite(phase)
    known = np.where(inside, phase, 0.0)
    stroke = np.clip(np.floor(known).astype(np.intp), 0, len(grid_values) - 1)
    bin_ = (np.mod(known, 1.0) * BINS).astype(np.intp) % BINS
    return np.where(inside[:, None], grid_values[stroke, bin_], np.nan)


def distrust(
    strokes: Strokes, phase: float, point: int, click_px: FloatArray, far_px: float
) -> None:
    """Where a click contradicts its stroke, trust the strokes that agree with the click, in place.

    Nothing changes where no stroke agrees with the click: then all are wrong in the same way,
    which is a bias and is learnt as one.
    """
    if not np.isfinite(phase):
        return
    stroke = int(np.floor(phase))  # phases are counted from the first turn
    bin_ = int(np.mod(phase, 1.0) * BINS) % BINS
    if not 0 <= stroke < len(strokes.at_px):
        return
    wrong_px = strokes.at_px[stroke, bin_, point]
    if not np.isfinite(wrong_px).all() or np.hypot(*(wrong_px - click_px)) < far_px:
        return
    here = strokes.at_px[:, bin_, point]
    to_click, to_wrong = (np.hypot(*(here - at).T) for at in (click_px, wrong_px))
    wrong = ~(to_click < to_wrong)
    if wrong.all():
        return
    reach = round(_WINDOW * BINS)
    bins = np.arange(bin_ - reach, bin_ + reach + 1) % BINS
    rows = np.flatnonzero(wrong)
    strokes.trust[rows[:, None], bins[None, :], point] *= _TRUST_OF_WRONG
