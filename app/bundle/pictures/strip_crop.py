"""Where in the frames of a stroke the rower is: the part of the picture that moves."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from app.bundle.pictures.strip_data import Image
from app.media.opencv import opencv

Box = tuple[int, int, int, int]  # left, top, right, bottom

_LOOK_PX = 200
# What changes by less than this of 255 between the frames of one stroke is noise of the camera.
_LEAST_CHANGE = 22.0
# A film of which more than this moves is one whose camera moves: nothing is cut away.
_MOST_MOVING = 0.6
# A patch that moves and is smaller than this share of the largest is not the rower: the flywheel
# turning, a shadow, somebody at the back.
_PART = 0.3
# Air around what moves, as a share of its height; feet and head move least.
_AIR = 0.12
# Shape of the cut, width over height.
NARROWEST, WIDEST = 1.3, 1.65


def moving_box(frames: Sequence[Image]) -> Box:
    """Find the part of the picture to show, the same for all frames.

    Parameters
    ----------
    frames : (h, w, 3) of one size
    """
    height, width = frames[0].shape[:2]
    moving = _moving(frames)
    if not moving.any() or moving.mean() > _MOST_MOVING:
        box = (0.0, 0.0, float(width), float(height))
    else:
        scale_x, scale_y = width / moving.shape[1], height / moving.shape[0]
        left, right = _reach(np.any(moving, axis=0))
        top, bottom = _reach(np.any(moving, axis=1))
        air = _AIR * (bottom - top) * scale_y
        box = (
            left * scale_x - air,
            top * scale_y - air,
            right * scale_x + air,
            bottom * scale_y + air,
        )
    return _shaped(box, width, height)


def _moving(frames: Sequence[Image]) -> NDArray[np.bool_]:
    """Tell what moves over the frames, small specks left out: bool, some 200 px wide."""
    cv2 = opencv()
    height, width = frames[0].shape[:2]
    scale = min(1.0, _LOOK_PX / max(width, height))
    size = (max(1, round(width * scale)), max(1, round(height * scale)))
    small = np.stack(
        [
            cv2.GaussianBlur(cv2.resize(f, size, interpolation=cv2.INTER_AREA), (5, 5), 0)
            for f in frames
        ]
    ).astype(np.float32)
    # All of it: the hands are furthest out in one or two frames only.
    change = np.ptp(small, axis=0).max(axis=2)
    mask = (change > _LEAST_CHANGE).astype(np.uint8)
    mask = cv2.morphologyEx(mask, cv2.MORPH_OPEN, np.ones((3, 3), np.uint8))
    count, labels, stats, _ = cv2.connectedComponentsWithStats(mask)
    largest = max((stats[i, cv2.CC_STAT_AREA] for i in range(1, count)), default=0)
    kept = [i for i in range(1, count) if stats[i, cv2.CC_STAT_AREA] >= _PART * largest]
    rower: NDArray[np.bool_] = np.isin(labels, kept)
    return rower


def _reach(line: NDArray[np.bool_]) -> tuple[int, int]:
    at = np.flatnonzero(line)
    return int(at[0]), int(at[-1]) + 1


def _shaped(box: tuple[float, float, float, float], width: int, height: int) -> Box:
    """Bring a box to a sensible shape inside the picture, wider rather than cutting off."""
    left, top, right, bottom = box
    across = min(max(right - left, NARROWEST * (bottom - top)), float(width))
    down = min(max(bottom - top, across / WIDEST), float(height))
    across = min(max(across, NARROWEST * down), float(width))
    x = min(max(0.5 * (left + right) - 0.5 * across, 0.0), width - across)
    y = min(max(0.5 * (top + bottom) - 0.5 * down, 0.0), height - down)
    return round(x), round(y), round(x + across), round(y + down)
