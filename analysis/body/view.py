"""Where the camera stood, and the picture as a camera square to the athlete would have it.

The side plane is the machine's middle plane. X runs to the right along the rail, Y upwards, Z
towards the camera; the camera's axis meets the plane at the origin.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Final, Literal

import numpy as np

from analysis.body.track import POINTS
from analysis.signals.signal import FloatArray

# Beyond these no angle is told: one segment would be off by more than 2 and a joint by 4 degrees
# after the best correction. From simulated cameras; the limits themselves are common practice.
MOST_YAW_DEG: Final = 20.0
MOST_TILT_DEG: Final = 12.0
# How far each point of the near side stands before the middle plane, metres, and how sure that is.
# Guessed from breadths of shoulder and hip; handle and seat lie in the middle.
DEPTH_M: Final[Mapping[str, float]] = {
    "ankle": 0.11, "knee": 0.13, "hip": 0.09, "shoulder": 0.19, "elbow": 0.27, "wrist": 0.23,
    "head": 0.0, "handle": 0.0, "seat": 0.0,
}  # fmt: skip
DEPTH_SD_M: Final = 0.03
# What a square camera at 2.5 m makes of these depths, rms: simulated cameras, degrees.
_UNCORRECTED: Final = {"knee_rad": 1.0, "shank_rad": 1.0, "hip_rad": 3.3, "elbow_rad": 3.2,
                       "trunk_lean_rad": 2.9}  # fmt: skip
_UNCORRECTED_AT_M: Final = 2.5
NEARER: Final = 0.15  # degrees of a joint a degree of yaw, at 2.5 m: simulated cameras
# Nobody stands squarer by eye: common practice, no source.
SQUARE_YAW_SD_RAD, SQUARE_TILT_SD_RAD = float(np.radians(4.0)), float(np.radians(3.0))
# Focal length over the picture's longer side: a phone's main camera sees some 65 degrees across;
# how much lenses differ, as a share.
FOCAL_OF_LONG_SIDE: Final = 0.785
FOCAL_SD_SHARE: Final = 0.15


@dataclass(frozen=True)
class View:
    """Where the camera stood; None for what is not known.

    Attributes
    ----------
    yaw_rad : turned from square; positive where what is to the right is nearer
    tilt_rad : positive looking down
    roll_rad : positive where the rail falls to the right in the picture
    distance_m : to the side plane, along the camera's axis
    size_px : width and height of the upright picture
    focal_px : of the lens; None: a usual one
    yaw_sd_rad, tilt_sd_rad : how sure
    distance_sd_share : how sure the distance is for the lens
    perspective : "known" where distance and lens are sure enough to take it out; "unknown" where it
        only widens the doubt; "none" for a picture without any, square to the rail
    """

    yaw_rad: float | None = None
    tilt_rad: float | None = None
    roll_rad: float | None = None
    distance_m: float | None = None
    size_px: tuple[int, int] | None = None
    focal_px: float | None = None
    yaw_sd_rad: float = SQUARE_YAW_SD_RAD
    tilt_sd_rad: float = SQUARE_TILT_SD_RAD
    distance_sd_share: float = FOCAL_SD_SHARE
    perspective: Literal["known", "unknown", "none"] = "unknown"

    @property
    def refusal(self) -> str:
        """Why no angle can be told from here, "" where one can."""
        yaw, tilt = (abs(float(np.degrees(a or 0.0))) for a in (self.yaw_rad, self.tilt_rad))
        if yaw > MOST_YAW_DEG:
            return (
                f"The camera looks {yaw:.0f} degrees from square at the machine, and beyond "
                f"{MOST_YAW_DEG:.0f} the angles of the joints cannot be read from the picture; "
                "film square from the side."
            )
        if tilt > MOST_TILT_DEG:
            return (
                f"The camera looks {tilt:.0f} degrees up or down, and beyond {MOST_TILT_DEG:.0f} "
                "the angles of the joints cannot be read from the picture; film from the height of "
                "the hips."
            )
        return ""

    @property
    def corrects(self) -> bool:
        """Whether perspective is taken out."""
        known = self.distance_m is not None and self.size_px is not None
        return known and self.perspective == "known"

    @property
    def focal(self) -> float:
        """Focal length, pixels: that of the lens, or of a usual one."""
        if self.focal_px is not None:
            return self.focal_px
        return FOCAL_OF_LONG_SIDE * max(self.size_px or (0, 0))

    @property
    def centre_px(self) -> tuple[float, float]:
        """The picture's middle."""
        width, height = self.size_px or (0, 0)
        return 0.5 * width, 0.5 * height

    def bias_rad(self, name: str) -> float:
        """Deviation of what perspective and yaw leave in an angle that is not corrected, rad."""
        if self.perspective == "none":
            return 0.0
        nearer = _UNCORRECTED_AT_M / (self.distance_m or _UNCORRECTED_AT_M)
        depth = nearer * np.radians(_UNCORRECTED.get(name, 0.0))
        # Of one segment at most asin((1 - cos yaw) / (1 + cos yaw)), of a joint twice that; and
        # what is nearer looks larger.
        yaw = float(np.hypot(self.yaw_rad or 0.0, self.yaw_sd_rad))
        slant = 2.0 * np.arcsin((1.0 - np.cos(yaw)) / (1.0 + np.cos(yaw)))
        return float(np.hypot(depth, slant + nearer * NEARER * yaw))

    def others(self) -> Iterator[View]:
        """The views it may be as well, each one deviation away."""
        yield replace(self, yaw_rad=(self.yaw_rad or 0.0) + self.yaw_sd_rad)
        yield replace(self, tilt_rad=(self.tilt_rad or 0.0) + self.tilt_sd_rad)
        if self.distance_m is not None:
            # A lens of another focal length at another distance shows the plane just as large.
            share = 1.0 + self.distance_sd_share
            yield replace(self, distance_m=self.distance_m * share, focal_px=self.focal * share)


def squared(xy_px: FloatArray, view: View, depth_m: Mapping[str, float] = DEPTH_M) -> FloatArray:
    """Give (T, K, 2) pixels of a square camera at the same distance, points in the middle plane.

    As they are where perspective is not to be taken out.
    """
    if not view.corrects or view.distance_m is None:
        return xy_px
    metres = in_plane(xy_px, view, depth_m)
    square: FloatArray = (
        np.array(view.centre_px) + np.array((1.0, -1.0)) * metres * view.focal / view.distance_m
    )
    return square


def alike(xy_px: FloatArray, view: View) -> Iterator[FloatArray]:
    """Points as `squared` gives them for all that may be otherwise: the view, each point's depth.

    Nothing where perspective is not taken out.
    """
    if not view.corrects:
        return
    for other in view.others():
        yield squared(xy_px, other)
    for name in POINTS:
        yield squared(xy_px, view, {**DEPTH_M, name: DEPTH_M[name] + DEPTH_SD_M})


def in_plane(xy_px: FloatArray, view: View, depth_m: Mapping[str, float] = DEPTH_M) -> FloatArray:
    """Meet the ray of each point (..., K, 2) with the plane its joint moves in: metres.

    Parameters
    ----------
    view : its distance is known
    """
    return meet(xy_px, view, np.array([depth_m[name] for name in POINTS]))


def meet(at_px: FloatArray, view: View, depth_m: FloatArray) -> FloatArray:
    """Where rays through pixels (..., 2) meet the planes Z = depth (broadcast): (..., 2) m."""
    turn = _axes(view)
    ahead = (at_px - np.array(view.centre_px)) / view.focal
    ray = np.concatenate((ahead, np.ones((*ahead.shape[:-1], 1))), axis=-1) @ turn.T
    camera = -(view.distance_m or 1.0) * turn[:, 2]
    far = (depth_m - camera[2]) / ray[..., 2]
    met: FloatArray = camera[:2] + far[..., None] * ray[..., :2]
    return met


def away_px(view: View) -> FloatArray:
    """Where lines straight away from the machine (along Z) meet in the picture: (2,) px."""
    right, down, ahead = _axes(view)[2]
    return np.array(view.centre_px) + view.focal * np.array((right, down)) / ahead


def _axes(view: View) -> FloatArray:
    """Columns are the camera's right, down and ahead, in X, Y, Z of the side plane."""
    yaw, tilt, roll = view.yaw_rad or 0.0, view.tilt_rad or 0.0, view.roll_rad or 0.0
    cy, sy, ct, st = np.cos(yaw), np.sin(yaw), np.cos(tilt), np.sin(tilt)
    cr, sr = np.cos(roll), np.sin(roll)
    square = np.diag((1.0, -1.0, -1.0))
    about_y = np.array(((cy, 0.0, sy), (0.0, 1.0, 0.0), (-sy, 0.0, cy)))
    about_x = np.array(((1.0, 0.0, 0.0), (0.0, ct, st), (0.0, -st, ct)))
    about_axis = np.array(((cr, sr, 0.0), (-sr, cr, 0.0), (0.0, 0.0, 1.0)))
    turned: FloatArray = about_y @ about_x @ square @ about_axis
    return turned
