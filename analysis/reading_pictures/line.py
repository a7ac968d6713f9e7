"""A line followed column by column through a map of its ink, to a fraction of a pixel."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from analysis.reading_pictures.flattening import PictureError, Points
from analysis.reading_pictures.ink import Map

# Of one pixel up or down, on ink and off it; a column without ink costs 1. Steep lines are of
# ink, and to leap to another line is dear.
_CLIMB_COST: Final = 0.01
_LEAP_COST: Final = 0.06
_LEAST_INK: Final = 0.28  # of the line's usual ink: a column with less is a gap
_EDGE: Final = 0.3  # of the ink in the middle: there a line's cross section ends
_GAP_SHARE: Final = 0.03  # of the width: a longer gap ends the line, unless the pen went over it
_LEAST_LEAP: Final = 6  # pixels a column: below it two pieces of a line are one
_LEAPED: Final = 0.6  # of the rows between: with less ink it is a leap, not a steep line
_MOST_WIDE: Final = 0.4  # of the height: a cross section can be so long where the line is steep
_PEN_REACH: Final = 0.035  # of the picture's diagonal: as far from the pen the line is looked for
_PEN_PULL: Final = 0.25  # cost at the end of that reach
_LEAST_COLUMNS: Final = 12
# The centre of a line's cross section is known to this share of its width, and never better than
# the floor: letters of pixels, dashes of JPEG. Taken from pictures drawn for the purpose.
WIDTH_SHARE: Final = 0.05
FLOOR_PX: Final = 0.15
# Where a section is thicker or thinner than the line, something lies over it: its centre may be off
# by this share of what there is too much or too little.
ODD_SHARE: Final = 0.5


@dataclass(frozen=True, eq=False)
class FollowedLine:
    """A line in the flat picture.

    Attributes
    ----------
    x : (n,) columns
    y : (n,) its centre there, pixels; NaN where nothing of it is seen
    sd : (n,) standard deviation of y, pixels
    width_px : how thick the line is, across it
    """

    x: Points
    y: Points
    sd: Points
    width_px: float


def follow_from(ink: Map, seed: tuple[float, float]) -> FollowedLine:
    """Follow the line through one place to both its ends.

    Raises
    ------
    PictureError
        There is no line, or it is only a speck.
    """
    width = ink.shape[1]
    x = int(np.clip(round(seed[0]), 0, width - 1))
    row = _nearest_ink(ink, x, seed[1])
    path = _cheapest_path(1.0 - np.minimum(ink, 1.0), (x, row))
    seen = _seen(ink, path, 0)
    longest = max(int(_GAP_SHARE * width), 3)
    first, last = _reach(seen, _leaps(ink, path, seen), x, longest)
    return _measured(ink, path, seen, first, last + 1, 0)


def follow_pen(ink: Map, pen: Points) -> FollowedLine:
    """Follow the line that a stroke of the pen went along, from where it began to where it ended.

    Parameters
    ----------
    pen : (n, 2) pixels of the flat picture, in the order drawn

    Raises
    ------
    PictureError
        The stroke is too short, or there is no line beneath it.
    """
    height, width = ink.shape
    first, last = int(max(pen[:, 0].min(), 0)), int(min(pen[:, 0].max(), width - 1))
    if last - first < _LEAST_COLUMNS:
        raise PictureError("That stroke of the pen is too short; draw along the whole line.")
    columns = np.arange(first, last + 1)
    low, high = _pen_limits(pen, columns)
    reach = max(_PEN_REACH * float(np.hypot(width, height)), 8.0)
    rows = np.arange(height)[:, None]
    outside = np.maximum(np.maximum(low - rows, rows - high), 0.0) / reach
    cost = 1.0 - np.minimum(ink[:, first : last + 1], 1.0) + _PEN_PULL * outside**2
    cost = np.where(outside > 1.0, 3.0, cost)
    path = _cheapest_path(cost, None)
    seen = _seen(ink, path, first)
    if seen.sum() < _LEAST_COLUMNS:
        raise PictureError("There is no line of that colour beneath the pen; draw along it again.")
    inked = np.flatnonzero(seen)
    return _measured(ink, path, seen, int(inked[0]), int(inked[-1]) + 1, first)


def _pen_limits(pen: Points, columns: NDArray[np.intp]) -> tuple[Points, Points]:
    """The lowest and highest the pen was in each column: it goes up steep parts within one."""
    steps = np.maximum(np.ceil(np.abs(np.diff(pen, axis=0)).max(axis=1)).astype(int), 1)
    dense = np.concatenate(
        [
            np.linspace(a, b, n, endpoint=False)
            for a, b, n in zip(pen[:-1], pen[1:], steps, strict=True)
        ]
        + [pen[-1:]]
    )
    at = np.round(dense[:, 0]).astype(int) - int(columns[0])
    inside = (at >= 0) & (at < len(columns))
    low, high = np.full(len(columns), np.inf), np.full(len(columns), -np.inf)
    np.minimum.at(low, at[inside], dense[inside, 1])
    np.maximum.at(high, at[inside], dense[inside, 1])
    known = np.isfinite(low)
    where = np.arange(len(columns))
    low = np.interp(where, where[known], low[known])
    high = np.interp(where, where[known], high[known])
    return low, high


def _nearest_ink(ink: Map, x: int, y: float) -> int:
    """The row with ink nearest to a click."""
    height = len(ink)
    near = ink[:, max(x - 2, 0) : x + 3].max(axis=1)
    rows = np.arange(height)
    worth = near - 0.04 * np.abs(rows - y)
    best = int(worth.argmax())
    if near[best] < _LEAST_INK or abs(best - y) > 15.0:
        raise PictureError(
            "There is no line at that place that differs from grid and ground; click on the line"
            " itself, or draw along it with the pen."
        )
    return best


def _cheapest_path(cost: Map | Points, through: tuple[int, int] | None) -> NDArray[np.intp]:
    """The rows of the path from the first to the last column that costs least."""
    height, width = cost.shape
    cost = np.asarray(cost, dtype=np.float64)
    climbs = np.cumsum(_CLIMB_COST + _LEAP_COST * np.clip(cost, 0.0, 1.0), axis=0)
    if through is not None:
        cost = cost.copy()
        cost[:, through[0]] += 1e6
        cost[through[1], through[0]] -= 1e6
    total = cost[:, 0].copy()
    came = np.zeros((width, height), dtype=np.int32)
    index = np.arange(height)
    for x in range(1, width):
        rows = climbs[:, x]
        up, from_up = _running_least(total - rows, index)
        down, from_down = _running_least((total + rows)[::-1], index)
        up, down = up + rows, down[::-1] - rows
        above = up <= down
        came[x] = np.where(above, from_up, height - 1 - from_down[::-1])
        total = np.where(above, up, down) + cost[:, x]
    path = np.empty(width, dtype=np.intp)
    path[-1] = int(total.argmin())
    for x in range(width - 1, 0, -1):
        path[x - 1] = came[x, path[x]]
    return path


def _running_least(values: Points, index: NDArray[np.intp]) -> tuple[Points, NDArray[np.intp]]:
    """The least value so far, and where it was."""
    least = np.minimum.accumulate(values)
    where: NDArray[np.intp] = np.maximum.accumulate(np.where(values <= least, index, 0))
    return least, where


def _seen(ink: Map, path: NDArray[np.intp], first: int) -> NDArray[np.bool_]:
    columns = first + np.arange(len(path))
    here = np.maximum.reduce([ink[np.clip(path + d, 0, len(ink) - 1), columns] for d in (-1, 0, 1)])
    usual = float(np.percentile(here[here > 0.15], 60)) if np.any(here > 0.15) else 1.0
    return here >= _LEAST_INK * usual


def _leaps(ink: Map, path: NDArray[np.intp], seen: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """Whether the path leaps to another line, as to that of a key, after each inked column."""
    inked = np.flatnonzero(seen)
    leaps = np.zeros(max(len(inked) - 1, 0), dtype=bool)
    steep = np.abs(np.diff(path[inked])) / np.maximum(np.diff(inked), 1)
    for k in np.flatnonzero(steep > _LEAST_LEAP):
        left, right = inked[k], inked[k + 1]
        rows = np.sort(path[[left, right]])
        between = ink[rows[0] : rows[1] + 1, left : right + 1].max(axis=1)
        leaps[k] = float(np.mean(between >= _LEAST_INK)) < _LEAPED
    return leaps


def _reach(
    seen: NDArray[np.bool_], leaps: NDArray[np.bool_], x: int, longest: int
) -> tuple[int, int]:
    """The first and last column of the line through one of them."""
    inked = np.flatnonzero(seen)
    if not len(inked):
        return x, x
    at = int(np.abs(inked - x).argmin())
    breaks = (np.diff(inked) > longest) | leaps
    before, after = np.flatnonzero(breaks[:at]), np.flatnonzero(breaks[at:])
    first = inked[before[-1] + 1] if len(before) else inked[0]
    last = inked[at + after[0]] if len(after) else inked[-1]
    return int(first), int(last)


def _measured(
    ink: Map, path: NDArray[np.intp], seen: NDArray[np.bool_], start: int, stop: int, first: int
) -> FollowedLine:
    """Centre and width of each cross section from `start` to `stop` of the path."""
    if seen[start:stop].sum() < _LEAST_COLUMNS:
        raise PictureError(
            "What is there is too short to be a curve; click on the line itself, or draw along it."
        )
    columns = first + np.arange(start, stop)
    centres = np.full(stop - start, np.nan)
    tall = np.full(stop - start, np.nan)
    for i in np.flatnonzero(seen[start:stop]):
        centres[i], tall[i] = _cross_section(ink[:, columns[i]], int(path[start + i]))
    slope = _slope(centres)
    across = tall / np.hypot(1.0, slope)
    width_px = float(np.nanmedian(across))
    rough = _roughness(centres, slope)
    odd = ODD_SHARE * np.abs(across - width_px)
    steady = np.hypot(FLOOR_PX, WIDTH_SHARE * width_px)
    sd = np.hypot(np.hypot(steady, rough), odd) * np.hypot(1.0, slope)
    return FollowedLine(columns.astype(np.float64), centres, sd, width_px)


def _cross_section(column: Map, row: int) -> tuple[float, float]:
    """Centre and height of the ink around a row of one column."""
    reach = 3
    near = column[max(row - reach, 0) : row + reach + 1]
    top_row = max(row - reach, 0) + int(near.argmax())
    edge = _EDGE * float(near.max())
    most = int(_MOST_WIDE * len(column))
    above = column[max(top_row - most, 0) : top_row + 1][::-1]
    below = column[top_row : top_row + most]
    up = int(np.argmax(above < edge)) or len(above)
    down = int(np.argmax(below < edge)) or len(below)
    first, stop = max(top_row - up, 0), min(top_row + down + 1, len(column))
    weights = column[first:stop].astype(np.float64)
    total = float(weights.sum())
    centre = float(weights @ np.arange(first, stop)) / total
    return centre, total / max(float(near.max()), 1e-6)


def _slope(y: Points) -> Points:
    """Rows a column, over a few columns."""
    known = np.isfinite(y)
    x = np.arange(len(y), dtype=np.float64)
    whole = np.interp(x, x[known], y[known])
    reach = 2
    padded = np.pad(whole, reach, mode="edge")
    steps = (padded[2 * reach :] - padded[: -2 * reach]) / (2.0 * reach)
    out: Points = steps
    return out


def _roughness(y: Points, slope: Points) -> Points:
    """How much the centres scatter about a smooth line, across it, around each column: pixels."""
    known = np.isfinite(y)
    x = np.arange(len(y), dtype=np.float64)
    whole = np.interp(x, x[known], y[known])
    padded = np.pad(whole, 3, mode="reflect", reflect_type="odd")
    kernel = np.array([-2.0, 3.0, 6.0, 7.0, 6.0, 3.0, -2.0]) / 21.0  # a parabola through seven
    off = np.abs(whole - np.convolve(padded, kernel, mode="valid")) / np.hypot(1.0, slope)
    # The middle's own share in its parabola is a third: the rest scatters by so much less.
    off /= np.sqrt(1.0 - kernel[3])
    wide = 41
    padded = np.pad(off, wide // 2, mode="reflect" if len(off) > wide // 2 else "edge")
    windows = np.lib.stride_tricks.sliding_window_view(padded, wide)
    rough: Points = 1.4826 * np.median(windows, axis=1)
    return rough
