"""The square of a picture in which a person is looked at."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from analysis.body.following.opencv import opencv
from analysis.body.track import Click
from analysis.signals.signal import FloatArray

Image = NDArray[np.uint8]

# How much wider than the circle round the body the networks were taught to see.
MARGIN: Final = 1.25
_SAME_FRAME_S: Final = 1e-3


@dataclass(frozen=True)
class Region:
    """A square, turned so that the person stands upright in it.

    Attributes
    ----------
    x_px, y_px : its centre, near the hips
    side_px : length of a side
    turn_rad : how far it is turned, clockwise on screen
    """

    x_px: float
    y_px: float
    side_px: float
    turn_rad: float = 0.0

    def to_picture(self, shares: FloatArray) -> FloatArray:
        """Give points (N, 2) in pixels of the picture for points in shares of the square."""
        picture: FloatArray = (
            np.array((self.x_px, self.y_px)) + self.side_px * (shares - 0.5) @ self._turn().T
        )
        return picture

    @property
    def body_px(self) -> float:
        """Across the circle that holds the body: for a seated rower about their stature, pixels."""
        return self.side_px / MARGIN

    def _turn(self) -> FloatArray:
        cos, sin = np.cos(self.turn_rad), np.sin(self.turn_rad)
        return np.array(((cos, -sin), (sin, cos)))


def region_around(hip_px: Sequence[float], top_px: Sequence[float]) -> Region | None:
    """Give the square round a circle about the hips through `top_px`, with that point at the top.

    None where the two are the same point or not known.
    """
    across, up = float(top_px[0] - hip_px[0]), float(hip_px[1] - top_px[1])
    radius = float(np.hypot(across, up))
    if not np.isfinite(radius) or radius < 1.0:
        return None
    turn = float(np.pi / 2.0 - np.arctan2(up, across))
    return Region(float(hip_px[0]), float(hip_px[1]), 2.0 * MARGIN * radius, turn)


def clicked_regions(clicks: Sequence[Click]) -> list[tuple[float, Region]]:
    """Give a region for each frame in which both hip and head were clicked, by time in seconds."""
    heads = [click for click in clicks if click.point == "head"]
    found = []
    for hip in (click for click in clicks if click.point == "hip"):
        for head in heads:
            if abs(head.time_s - hip.time_s) <= _SAME_FRAME_S:
                region = region_around((hip.x_px, hip.y_px), (head.x_px, head.y_px))
                if region is not None:
                    found.append((hip.time_s, region))
                break
    return sorted(found, key=lambda pair: pair[0])


def whole(image: Image) -> Region:
    """Give the smallest square that holds the whole picture."""
    height, width = image.shape[:2]
    return Region(0.5 * width, 0.5 * height, float(max(width, height)))


def cut_out(image: Image, region: Region, side_px: int, beyond: int | None) -> NDArray[np.float32]:
    """Sample a region of a picture, linearly between four pixels, as the networks were taught.

    Parameters
    ----------
    image : (height, width, 3) red green blue
    side_px : how many samples a side
    beyond : brightness outside the picture; None repeats its edge

    Returns
    -------
    NDArray
        (side_px, side_px, 3) brightness 0 to 255.
    """
    cv2 = opencv()
    cos, sin = (region.side_px / side_px * turned(region.turn_rad) for turned in (np.cos, np.sin))
    half = 0.5 * side_px
    matrix = np.array(
        (
            (cos, -sin, region.x_px - half * (cos - sin)),
            (sin, cos, region.y_px - half * (sin + cos)),
        )
    )
    cut = cv2.warpAffine(
        image, matrix, (side_px, side_px), flags=cv2.INTER_LINEAR | cv2.WARP_INVERSE_MAP,
        borderMode=cv2.BORDER_REPLICATE if beyond is None else cv2.BORDER_CONSTANT,
        borderValue=(beyond or 0,) * 3,
    )  # fmt: skip
    return np.asarray(cut, dtype=np.float32)


def checked(image: Image) -> Image:
    """Give the picture in one piece; raises ValueError where it is not red green blue bytes."""
    if image.dtype != np.uint8 or image.ndim != 3 or image.shape[2] != 3 or not image.size:
        raise ValueError("A picture to look at must be (height, width, 3) bytes, red green blue.")
    return np.ascontiguousarray(image)
