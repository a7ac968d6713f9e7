"""The four corners of a screen or a sheet in a photo of it."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

import numpy as np

from analysis.body.following.opencv import opencv
from analysis.reading_pictures.flattening import Pixels, Points, is_convex

_SEEN_PX: Final = 900.0  # the longer side of the picture in which contours are looked for
_LEAST_SHARE: Final = 0.12  # of the picture: smaller is a window on the screen, or a label
_MOST_SHARE: Final = 0.985  # beyond it the picture itself is what was found
_LEAST_FILLED: Final = 0.93  # of the four corners' area that the contour fills
_EDGE_SAMPLES: Final = 60
_REACH_PX: Final = 7.0  # how far from a rough side its edge is looked for, small picture's pixels
_LEVEL_PX: Final = 1.0  # a side so little off a row or a column is along it
_MOST_OFF_PX: Final = 1.5  # an edge sample farther off its line than this belongs to another


def find_corners(pixels: Pixels) -> Points | None:
    """Find the largest bright or dark four-sided thing in a picture.

    Parameters
    ----------
    pixels : (height, width, 3) RGB

    Returns
    -------
    (4, 2) pixels: top left, top right, bottom right, bottom left; None where there is none, as in
    a screen shot, which needs none.
    """
    cv2 = opencv()
    height, width = pixels.shape[:2]
    scale = min(1.0, _SEEN_PX / max(height, width))
    size = (max(round(width * scale), 1), max(round(height * scale), 1))
    if min(size) < 60:
        return None
    small = cv2.resize(pixels, size, interpolation=cv2.INTER_AREA)
    grey = cv2.GaussianBlur(cv2.cvtColor(small, cv2.COLOR_RGB2GRAY), (5, 5), 0)
    best, best_area = None, _LEAST_SHARE * size[0] * size[1]
    for mask in _masks(grey):
        contours, _ = cv2.findContours(mask, cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_SIMPLE)
        for contour in contours:
            area = cv2.contourArea(contour)
            if best_area < area < _MOST_SHARE * size[0] * size[1]:
                quad = _four_sided(contour, area)
                if quad is not None and not _is_frame(quad, size):
                    best, best_area = quad, area
    if best is None:
        return None
    found = _refined(np.asarray(grey, dtype=np.float64), best)
    ratio = np.array([width / size[0], height / size[1]])
    corners: Points = (found + 0.5) * ratio - 0.5
    return None if _is_level(corners) else corners


def _masks(grey: Pixels) -> Iterator[Pixels]:
    """What is bright and what is dark, and what edges enclose."""
    cv2 = opencv()
    _, bright = cv2.threshold(grey, 0, 255, cv2.THRESH_BINARY + cv2.THRESH_OTSU)
    kernel = np.ones((7, 7), np.uint8)
    for mask in (bright, 255 - bright):
        yield cv2.morphologyEx(mask, cv2.MORPH_CLOSE, kernel)
    for low in (12, 30, 60):
        edges = cv2.Canny(grey, low, 3 * low)
        yield cv2.morphologyEx(edges, cv2.MORPH_CLOSE, kernel)


def _four_sided(contour: Pixels, area: float) -> Points | None:
    cv2 = opencv()
    hull = cv2.convexHull(contour)
    around = cv2.arcLength(hull, True)
    for share in (0.01, 0.02, 0.03, 0.05):
        corners = cv2.approxPolyDP(hull, share * around, True)
        if len(corners) == 4:
            ordered = _in_turn(corners.reshape(4, 2).astype(np.float64))
            whole = cv2.contourArea(ordered.astype(np.float32))
            if is_convex(ordered) and area >= _LEAST_FILLED * whole:
                return ordered
    return None


def _in_turn(corners: Points) -> Points:
    """Clockwise on the screen, from the one nearest to the top left."""
    middle = corners - corners.mean(axis=0)
    clockwise = corners[np.argsort(np.arctan2(middle[:, 1], middle[:, 0]))]
    first = int(np.argmin(clockwise.sum(axis=1)))
    return np.roll(clockwise, -first, axis=0)


def _is_frame(quad: Points, size: tuple[int, int]) -> bool:
    """Whether it is the picture's own edge that was found."""
    edge = np.array(size) - 1.0
    return bool(np.all((quad < 3.0) | (quad > edge - 3.0)))


def _is_level(corners: Points) -> bool:
    """Whether all four sides lie along rows and columns: then there is nothing to lay flat."""
    sides = np.roll(corners, -1, axis=0) - corners
    return bool(np.all(np.abs(sides).min(axis=1) < _LEVEL_PX))


def _refined(grey: Points, rough: Points) -> Points:
    """Put each side where the light changes most, and cross the sides."""
    lines = [_side(grey, rough[i], rough[(i + 1) % 4]) for i in range(4)]
    crossed = np.array([np.cross(lines[i - 1], lines[i]) for i in range(4)])
    if np.any(np.abs(crossed[:, 2]) < 1e-9):
        return rough
    fine = crossed[:, :2] / crossed[:, 2:]
    near = np.hypot(*(fine - rough).T) < 4.0 * _REACH_PX
    return fine if bool(np.all(near)) else rough


def _side(grey: Points, start: Points, end: Points) -> Points:
    """The line (a, b, c) of one side: a x + b y + c = 0."""
    from scipy.ndimage import map_coordinates

    along = (end - start) / max(float(np.hypot(*(end - start))), 1e-9)
    across = np.array([-along[1], along[0]])
    shares = np.linspace(0.06, 0.94, _EDGE_SAMPLES)[:, None]
    reach = np.arange(-_REACH_PX, _REACH_PX + 0.25, 0.5)
    base = start + shares * (end - start)
    spots = base[:, None, :] + reach[None, :, None] * across
    light = map_coordinates(grey, [spots[..., 1], spots[..., 0]], order=1, mode="nearest")
    steps = np.diff(light, axis=1)
    # One sign for the whole side: a sheet is brighter than the table on all of it, or darker.
    steps *= np.sign(np.median(np.take_along_axis(steps, _strongest(steps), axis=1))) or 1.0
    at = np.clip(_strongest(steps)[:, 0], 1, steps.shape[1] - 2)
    rows = np.arange(len(steps))
    weights = np.maximum(np.stack([steps[rows, at + d] for d in (-1, 0, 1)]), 1e-6)
    offset = (weights * np.stack([reach[at + d] + 0.25 for d in (-1, 0, 1)])).sum(0)
    off = offset / weights.sum(0)
    where = shares[:, 0] * float(np.hypot(*(end - start)))
    kept = np.ones(len(off), dtype=bool)
    slope, level = 0.0, float(np.median(off))
    for _ in range(4):
        kept = np.abs(off - slope * where - level) < _MOST_OFF_PX
        if kept.sum() < 8:
            break
        slope, level = np.polyfit(where[kept], off[kept], 1)
    first = start + level * across
    last = first + float(np.hypot(*(end - start))) * (along + slope * across)
    line: Points = np.cross([*first, 1.0], [*last, 1.0])
    return line / max(float(np.hypot(line[0], line[1])), 1e-9)


def _strongest(steps: Points) -> np.ndarray[tuple[int, ...], np.dtype[np.intp]]:
    return np.argmax(np.abs(steps), axis=1)[:, None]
