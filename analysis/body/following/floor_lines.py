"""Yaw and tilt of the camera from bars on the floor that run straight away from a square camera.

All lines in that direction meet in one place of the picture: its middle, for a camera that stands
square and level. Where they meet says how far it is turned and tilted.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from analysis.body.view import FOCAL_SD_SHARE, View, away_px
from analysis.signals.signal import FloatArray

Line = tuple[tuple[float, float], tuple[float, float]]  # near end and far end, px

CLICK_SD_PX: Final = 2.0  # of each end in a picture 1280 wide; grows with the picture
# How cameras stand that nobody looked at: wide enough to find one that is far off square. Common
# practice, no source.
_YAW_SD, _TILT_SD = float(np.radians(25.0)), float(np.radians(10.0))
# What is less sure than this is not told.
TOLD_SD_RAD: Final = float(np.radians(5.0))
LEAST_SD_RAD: Final = float(np.radians(0.5))
_SHORTEST: Final = 0.008  # of the picture's width, between the ends of a bar


@dataclass(frozen=True)
class Stance:
    """How a camera stands: yaw and tilt, rad, and their standard deviations."""

    yaw_rad: float
    tilt_rad: float
    yaw_sd_rad: float
    tilt_sd_rad: float

    @property
    def tells_yaw(self) -> bool:
        """Whether the yaw is sure enough to be told."""
        return self.yaw_sd_rad <= TOLD_SD_RAD

    @property
    def tells_tilt(self) -> bool:
        """Whether the tilt is sure enough to be told."""
        return self.tilt_sd_rad <= TOLD_SD_RAD


def stance_of(
    lines: list[Line],
    view: View,
    yaw: tuple[float, float] | None = None,
    tilt: tuple[float, float] | None = None,
) -> Stance | None:
    """Estimate yaw and tilt; None where no line is long enough to have a direction.

    Parameters
    ----------
    view : with the size of the picture, a lens, and the roll where it is known
    yaw, tilt : value and standard deviation where something else tells them
    """
    width = max(view.size_px or (0, 0))
    ends = np.array([e for e in lines if np.hypot(*np.subtract(*e)) >= _SHORTEST * width])
    if len(ends) == 0:
        return None
    from scipy.optimize import least_squares

    sd_px = CLICK_SD_PX * width / 1280.0
    known = (yaw or (0.0, _YAW_SD), tilt or (0.0, _TILT_SD))

    def turned_so(at: FloatArray) -> View:
        return replace(view, yaw_rad=float(at[0]), tilt_rad=float(at[1]))

    def misfit(at: FloatArray) -> FloatArray:
        off = _off_line(ends, away_px(turned_so(at))) / sd_px
        said = [(a - value) / sd for a, (value, sd) in zip(at, known, strict=True)]
        return np.concatenate((off, said))

    best = least_squares(misfit, (known[0][0], known[1][0]), x_scale=0.1)
    slopes = np.asarray(best.jac, dtype=np.float64)
    spread = np.linalg.inv(slopes.T @ slopes)
    turned, tilted = (float(a) for a in best.x)
    # The angle is that of a lens which is a guess.
    lens = 0.0 if view.focal_px is not None else FOCAL_SD_SHARE
    sds = np.hypot(np.sqrt(np.diag(spread)), lens * np.abs(np.tan(best.x)))
    yaw_sd, tilt_sd = (max(float(sd), LEAST_SD_RAD) for sd in sds)
    return Stance(turned, tilted, yaw_sd, tilt_sd)


def _off_line(ends: FloatArray, at: FloatArray) -> FloatArray:
    """How far lines (L, 2, 2) pass a place at their far ends, px: 0 where they lead there."""
    near, far = ends[:, 0], ends[:, 1]
    to, way = at - near, far - near
    long = np.maximum(np.hypot(*to.T), 1e-9)
    off: FloatArray = (to[:, 0] * way[:, 1] - to[:, 1] * way[:, 0]) / long / np.sqrt(2.0)
    return off
