"""How much of each pixel the wanted line covers, from its colour and the ground's around it.

A pixel at the edge of a line is a mixture of line and ground, and blur mixes them further; the
share of the line in that mixture keeps the line's centre where it was. Light that falls on the
screen is added to both and so to neither's difference.
"""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray

from analysis.body.following.opencv import opencv
from analysis.reading_pictures.flattening import PictureError, Pixels, Points

Map = NDArray[np.float32]
_GROUND_SHARE: Final = 0.11  # of the longer side: over so wide a place the ground is the usual
# A pixel so far beside the mixture, as share of its length, counts half.
_OTHER_COLOUR: Final = 0.3
_LEAST_CONTRAST: Final = 14.0  # steps of 255 between line and ground
_GRID_RUN: Final = 0.34  # of the picture: what is straight along a row or a column so far is a grid
_PATCH_PX: Final = 5


def ground_of(flat: Pixels) -> Map:
    """The ground without lines: the usual colour around each pixel, (h, w, 3)."""
    cv2 = opencv()
    height, width = flat.shape[:2]
    small = (max(width // 4, 1), max(height // 4, 1))
    less = cv2.resize(flat, small, interpolation=cv2.INTER_AREA)
    wide = int(_GROUND_SHARE * max(small)) | 1
    middle = cv2.medianBlur(less, min(max(wide, 3), 255))
    ground = cv2.GaussianBlur(middle.astype(np.float32), (0, 0), 2.0)
    out: Map = cv2.resize(ground, (width, height), interpolation=cv2.INTER_LINEAR)
    return out


def colour_at(flat: Pixels, ground: Map, spots: Points) -> NDArray[np.float64]:
    """How the line's colour differs from the ground's, at spots on it or beside it: (3,) RGB.

    Parameters
    ----------
    spots : (n, 2) pixels of the flat picture: one click, or many points of a stroke of the pen

    Raises
    ------
    PictureError
        There is nothing but ground there.
    """
    height, width = flat.shape[:2]
    found = []
    for x, y in spots:
        left, top = max(round(x) - _PATCH_PX, 0), max(round(y) - _PATCH_PX, 0)
        right, low = min(round(x) + _PATCH_PX + 1, width), min(round(y) + _PATCH_PX + 1, height)
        if right <= left or low <= top:
            continue
        differs = flat[top:low, left:right].astype(np.float64) - ground[top:low, left:right]
        flatly = differs.reshape(-1, 3)
        size = np.linalg.norm(flatly, axis=1)
        most = flatly[size >= 0.85 * size.max()]
        found.append(np.median(most, axis=0))
    if not found:
        raise PictureError("That place is outside the picture; click on the line itself.")
    colours = np.array(found)
    colour: NDArray[np.float64] = np.median(colours, axis=0)
    if float(np.linalg.norm(colour)) < _LEAST_CONTRAST:
        raise PictureError(
            "There is no line at that place that differs from its ground; click on the line itself."
        )
    return colour


def ink_map(flat: Pixels, ground: Map, colour: NDArray[np.float64]) -> Map:
    """Share of the line in each pixel, 0-1; the grid is taken out: (h, w)."""
    differs = flat.astype(np.float32) - ground
    length = float(np.linalg.norm(colour))
    unit = (colour / length).astype(np.float32)
    share = differs @ unit / length
    beside = np.linalg.norm(differs - (share * length)[..., None] * unit, axis=-1) / length
    share *= 1.0 / (1.0 + (beside / _OTHER_COLOUR) ** 4)
    clean: Map = _without_grid(np.clip(share, 0.0, 1.2)).astype(np.float32)
    return clean


def _without_grid(share: Map) -> Map:
    """Take off what is there along most of a row or a column, as a grid or an axis is.

    Over a third of the picture, so that a grid that is not quite level is still one.
    """
    cv2 = opencv()
    height, width = share.shape
    # As bytes: the median of a wide window is quick for them alone.
    seen = np.clip(share * 200.0, 0, 255).astype(np.uint8)
    rows = _median_along(seen, int(_GRID_RUN * width))
    columns = _median_along(np.ascontiguousarray(seen.T), int(_GRID_RUN * height)).T
    grid = np.maximum(rows, columns).astype(np.float32) / 200.0
    wide = cv2.GaussianBlur(cv2.dilate(grid, np.ones((3, 3), np.uint8)), (0, 0), 0.7)
    left: Map = np.clip(share - np.where(wide > 0.06, wide, 0.0), 0.0, None)
    return left


def _median_along(seen: Pixels, run: int) -> Pixels:
    """The middle value of pieces of each row, as wide as `run`, between them the nearest."""
    width = seen.shape[1]
    run = min(max(run, 8), width)
    starts = np.unique(np.linspace(0, width - run, max(2 * width // run, 1)).astype(int))
    out = np.zeros_like(seen)
    owner = np.abs(np.arange(width)[:, None] - (starts + run / 2.0)).argmin(axis=1)
    for i, start in enumerate(starts):
        middle = np.median(seen[:, start : start + run : 2], axis=1).astype(np.uint8)
        out[:, owner == i] = middle[:, None]
    return out
