"""Parts of a picture made unrecognisable, for good.

What is under a patch is averaged to a few blocks and these are smoothed: the detail is no longer in
the numbers, so no filter brings it back.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from app.media.opencv import opencv

BLOCKS = 6  # at most, across the longer side of a patch
_STEP = 8  # grey levels are kept in steps of this
_SOFT_EDGE = 0.1  # of the patch's size, outside of it


@dataclass(frozen=True)
class Patch:
    """An upright ellipse to hide, in pixels of the upright recording at its own size.

    Attributes
    ----------
    x_px, y_px : its middle
    w_px, h_px : its width and height
    """

    x_px: float
    y_px: float
    w_px: float
    h_px: float


# Which patches to hide at a time of the recording, seconds from the first shown frame.
Veil = Callable[[float], Sequence[Patch]]


def veiled(
    image: NDArray[np.uint8], patches: Sequence[Patch], source_size: tuple[int, int]
) -> NDArray[np.uint8]:
    """Give a copy of a picture with the patches hidden.

    Parameters
    ----------
    image : (h, w, 3 or 4) upright, of any size
    source_size : width and height of the recording, in whose pixels the patches are
    """
    if not patches:
        return image
    out = np.ascontiguousarray(image).copy()
    height, width = out.shape[:2]
    by_x, by_y = width / source_size[0], height / source_size[1]
    for patch in patches:
        _hide(out, patch.x_px * by_x, patch.y_px * by_y, patch.w_px * by_x, patch.h_px * by_y)
    return out


def _hide(image: NDArray[np.uint8], x: float, y: float, w: float, h: float) -> None:
    cv2 = opencv()
    height, width = image.shape[:2]
    # A patch beyond any picture hides all of it; numbers past that mean nothing to the library.
    w, h = min(max(w, 2.0), 8.0 * width), min(max(h, 2.0), 8.0 * height)
    edge = 1.0 + 2.0 * _SOFT_EDGE
    left, right = _clipped(x - 0.5 * edge * w, x + 0.5 * edge * w, width)
    top, bottom = _clipped(y - 0.5 * edge * h, y + 0.5 * edge * h, height)
    if right <= left or bottom <= top:
        return
    area = image[top:bottom, left:right]
    high, wide = area.shape[:2]
    block = max(wide, high) / BLOCKS
    few = (max(1, round(wide / block)), max(1, round(high / block)))
    small = cv2.resize(area, few, interpolation=cv2.INTER_AREA).reshape(few[1], few[0], -1)
    small = (small // _STEP * _STEP + _STEP // 2).astype(np.uint8)
    hidden = cv2.resize(small, (wide, high), interpolation=cv2.INTER_NEAREST)
    hidden = cv2.GaussianBlur(hidden, (0, 0), max(0.45 * block, 0.8))
    rows, columns = np.mgrid[top:bottom, left:right].astype(np.float32)
    away = np.hypot((columns + 0.5 - x) / (0.5 * w), (rows + 0.5 - y) / (0.5 * h))
    share = np.clip((edge - away) / (edge - 1.0), 0.0, 1.0)[..., None]
    mixed = area + share * (hidden.reshape(area.shape).astype(np.float32) - area)
    image[top:bottom, left:right] = np.rint(mixed).astype(np.uint8)


def _clipped(low: float, high: float, side: int) -> tuple[int, int]:
    return max(0, math.floor(low)), min(side, math.ceil(high))
