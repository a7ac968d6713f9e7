"""A screen or a sheet seen at an angle, laid flat: the homography of its four corners.

Points are (x, y) in pixels whose centres are whole numbers, y downwards.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from analysis.body.following.opencv import opencv

Points = NDArray[np.float64]
Pixels = NDArray[np.uint8]
LARGEST_SIDE: Final = 2000  # of the flat picture: more tells nothing, and takes long
SMALLEST_SIDE: Final = 24.0  # below it no curve can be read


class PictureError(ValueError):
    """A curve cannot be read so. The message is one sentence for the user."""


@dataclass(frozen=True, eq=False)
class Flat:
    """The way between a picture and what its four corners enclose, laid flat.

    Attributes
    ----------
    corners : (4, 2) pixels of the picture: top left, top right, bottom right, bottom left
    width, height : of the flat picture, pixels
    """

    corners: Points
    width: int
    height: int

    @cached_property
    def matrix(self) -> Points:
        """(3, 3) from the picture to the flat one."""
        return homographies(self.corners[None], self.width, self.height)[0]

    def to_flat(self, points: Points) -> Points:
        """(n, 2) of the picture as (n, 2) of the flat one."""
        return projected(self.matrix, points)

    def to_picture(self, points: Points) -> Points:
        """(n, 2) of the flat picture as (n, 2) of the one it comes from."""
        return projected(np.asarray(np.linalg.inv(self.matrix), dtype=np.float64), points)

    def picture(self, pixels: Pixels) -> Pixels:
        """Lay a picture flat: (height, width, 3)."""
        cv2 = opencv()
        size = (self.width, self.height)
        flat: Pixels = cv2.warpPerspective(
            pixels, self.matrix, size, flags=cv2.INTER_CUBIC, borderMode=cv2.BORDER_REPLICATE
        )
        return flat


def flat_of(corners: Points) -> Flat:
    """Give the flat picture of four corners, about as large as it is seen.

    Parameters
    ----------
    corners : (4, 2) pixels, in turn from the top left one

    Raises
    ------
    PictureError
        The corners enclose nothing a screen or a sheet could look like.
    """
    corners = np.asarray(corners, dtype=np.float64).reshape(4, 2)
    if not np.all(np.isfinite(corners)) or not is_convex(corners):
        raise PictureError(
            "The four corners cross each other: drag them to the corners of the screen, the sheet"
            " or the plot, each to its own."
        )
    sides = np.hypot(*(np.roll(corners, -1, axis=0) - corners).T)
    width, height = max(sides[0], sides[2]), max(sides[1], sides[3])
    if min(sides) < SMALLEST_SIDE:
        raise PictureError(
            "The picture, or what the corners enclose, is too small to read a curve from; choose a"
            " larger picture."
        )
    less = min(1.0, LARGEST_SIDE / max(width, height))
    return Flat(corners, round(width * less) + 1, round(height * less) + 1)


def whole_picture(width: int, height: int) -> Points:
    """(4, 2): the corners of a picture itself, as for a screen shot."""
    right, low = width - 1.0, height - 1.0
    return np.array([[0.0, 0.0], [right, 0.0], [right, low], [0.0, low]])


def is_convex(corners: Points) -> bool:
    """Whether four corners are in turn, clockwise on the screen, and enclose something."""
    sides = np.roll(corners, -1, axis=0) - corners
    after = np.roll(sides, -1, axis=0)
    turns = sides[:, 0] * after[:, 1] - sides[:, 1] * after[:, 0]
    return bool(np.all(turns > 1e-6))


def homographies(corners: Points, width: int, height: int) -> Points:
    """(k, 3, 3): from pictures with corners (k, 4, 2) to one flat rectangle."""
    k = len(corners)
    to = np.broadcast_to(whole_picture(width, height), (k, 4, 2))
    a = np.zeros((k, 8, 8))
    for axis in (0, 1):
        rows = slice(axis, 8, 2)
        a[:, rows, 3 * axis : 3 * axis + 2] = corners
        a[:, rows, 3 * axis + 2] = 1.0
        a[:, rows, 6:8] = -to[:, :, axis, None] * corners
    solved = np.linalg.solve(a, to.reshape(k, 8, 1))[..., 0]
    return np.concatenate([solved, np.ones((k, 1))], axis=1).reshape(k, 3, 3)


def projected(matrix: Points, points: Points) -> Points:
    """Points (n, 2) under one homography (3, 3), or under each of many (k, 3, 3): (k, n, 2)."""
    points = np.asarray(points, dtype=np.float64)
    ones = np.ones((*points.shape[:-1], 1))
    out: Any = np.concatenate([points, ones], axis=-1) @ np.swapaxes(matrix, -1, -2)
    result: Points = out[..., :2] / out[..., 2:]
    return result
