"""Where the camera stood, and the picture as a camera square to the athlete would have it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from analysis.body.track import POINTS
from analysis.signals.signal import FloatArray

# Beyond these no angle is told: one segment would be off by more than 2 and a joint by 4 degrees
# after the best correction. From simulated cameras; the limits themselves are common practice.
MOST_YAW_DEG = 20.0
MOST_TILT_DEG = 12.0
# How far each point of the near side stands before the athlete's middle, metres. Guessed from
# breadths of shoulder and hip; handle and seat lie in the middle.
DEPTH_M: Final = {
    "ankle": 0.11, "knee": 0.13, "hip": 0.09, "shoulder": 0.19, "elbow": 0.27, "wrist": 0.23,
    "head": 0.0, "handle": 0.0, "seat": 0.0,
}  # fmt: skip
# What a square camera at 2.5 m makes of these depths, rms, and what is left where they are taken
# out with a distance known to 15 %: simulated cameras, degrees.
_UNCORRECTED: Final = {"knee_rad": 1.0, "shank_rad": 1.0, "hip_rad": 3.3, "elbow_rad": 3.2,
                       "trunk_lean_rad": 2.9}  # fmt: skip
_CORRECTED: Final = {"knee_rad": 0.5, "shank_rad": 0.5, "hip_rad": 0.9, "elbow_rad": 1.1,
                     "trunk_lean_rad": 0.6}  # fmt: skip
UNKNOWN_YAW_DEG = 4.0  # nobody stands squarer by eye: common practice, no source
NEARER = 0.15  # degrees of a joint a degree of yaw, at 2.5 m: simulated cameras
# Breadth of a picture against its distance for a lens of 65 degrees, as most phones have.
FOCAL_SHARE = 0.78


@dataclass(frozen=True)
class View:
    """Where the camera stood; None for what is not known.

    Attributes
    ----------
    yaw_deg : how far it looks to the right along the rail; 0 is square to it
    tilt_deg : how far it looks down
    distance_m : from the athlete's middle
    size_px : width and height of the upright picture
    depths_matter : False for a picture without perspective, square to the rail
    """

    yaw_deg: float | None = None
    tilt_deg: float | None = None
    distance_m: float | None = None
    size_px: tuple[int, int] | None = None
    depths_matter: bool = True

    @property
    def refusal(self) -> str:
        """Why no angle can be told from here, "" where one can."""
        if abs(self.yaw_deg or 0.0) > MOST_YAW_DEG:
            return (
                f"The camera looks {abs(self.yaw_deg or 0.0):.0f}° along the rail; angles are told "
                f"up to {MOST_YAW_DEG:.0f}° only. Film square to the rail."
            )
        if abs(self.tilt_deg or 0.0) > MOST_TILT_DEG:
            return (
                f"The camera is tilted by {abs(self.tilt_deg or 0.0):.0f}°; angles are told up to "
                f"{MOST_TILT_DEG:.0f}° only. Film from the height of the hands."
            )
        return ""

    @property
    def corrects(self) -> bool:
        """Whether enough is known to take perspective out."""
        return self.distance_m is not None and self.size_px is not None

    def bias_rad(self, name: str) -> float:
        """Standard deviation of what perspective and yaw leave in an angle, rad."""
        left = _CORRECTED if self.corrects else _UNCORRECTED
        if not self.depths_matter:
            return 0.0
        depth = np.radians(left.get(name, 0.0))
        if self.corrects:
            return float(depth)
        # Of one segment at most asin((1 - cos yaw) / (1 + cos yaw)), of a joint twice that; and
        # what is nearer looks larger.
        yaw_deg = UNKNOWN_YAW_DEG if self.yaw_deg is None else abs(self.yaw_deg)
        cos = np.cos(np.radians(yaw_deg))
        slant = 2.0 * np.arcsin((1.0 - cos) / (1.0 + cos))
        return float(np.hypot(depth, slant + np.radians(NEARER * yaw_deg)))


def squared(xy_px: FloatArray, view: View) -> FloatArray:
    """Meet the ray of each point with the upright plane it moves in, for a lens of 65 degrees.

    Parameters
    ----------
    xy_px : (T, K, 2) in the order of `POINTS`

    Returns
    -------
    (T, K, 2) pixels of a square camera at the same distance, all points in the middle plane; as
    they are where distance or size of the picture is not known.
    """
    if view.distance_m is None or view.size_px is None:
        return xy_px
    width, height = view.size_px
    focal = FOCAL_SHARE * width
    centre = np.array((0.5 * (width - 1), 0.5 * (height - 1)))
    rays = np.concatenate(((xy_px - centre) / focal, np.ones((*xy_px.shape[:2], 1))), axis=2)
    rays = rays @ _turn(view).T
    depth_m = np.array([DEPTH_M[name] for name in POINTS])
    away = (view.distance_m - depth_m) / view.distance_m
    square: FloatArray = rays[..., :2] / rays[..., 2:] * away[:, None] * focal + centre
    return square


def _turn(view: View) -> FloatArray:
    """From the camera's axes to those of a square, level camera: (3, 3)."""
    yaw, tilt = np.radians(view.yaw_deg or 0.0), np.radians(view.tilt_deg or 0.0)
    about_x = np.array(
        ((1.0, 0.0, 0.0), (0.0, np.cos(tilt), np.sin(tilt)), (0.0, -np.sin(tilt), np.cos(tilt)))
    )
    about_y = np.array(
        ((np.cos(yaw), 0.0, np.sin(yaw)), (0.0, 1.0, 0.0), (-np.sin(yaw), 0.0, np.cos(yaw)))
    )
    turned: FloatArray = about_y @ about_x
    return turned
