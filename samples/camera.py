"""Where the camera stands: metres in the side plane to pixels, with an unsteady hand on request."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Literal

import numpy as np

from samples.flywheel import FloatArray

Facing = Literal["left", "right"]
SHIFT = 4  # sub-pixel bits handed to the drawing functions


@dataclass(frozen=True)
class Camera:
    """A camera square to the side plane.

    Attributes
    ----------
    width, height : px
    facing : which way the athlete looks in the picture
    """

    width: int
    height: int
    facing: Facing = "left"

    @property
    def scale(self) -> float:
        """Pixels per metre."""
        return min(self.width / 3.36, self.height / 1.86)

    def pixels(self, points_m: FloatArray) -> FloatArray:
        """Pixels (..., 2), from the top left, of points (..., 2) in metres, looking left."""
        x = self.width / 2.0 + (points_m[..., 0] - 0.03) * self.scale
        y = self.height * 0.5 - (points_m[..., 1] - 0.46) * self.scale
        return np.stack((x, y), axis=-1)

    def fixed(self, points_m: FloatArray) -> np.ndarray:
        """Pixels as the fixed-point integers the drawing functions take."""
        factor, offset = self._fixed_point
        return np.rint(points_m * factor + offset).astype(np.int32)

    @cached_property
    def _fixed_point(self) -> tuple[FloatArray, FloatArray]:
        """Factor and offset of `pixels` in fixed point; asked for some hundred times a frame."""
        zero = self.pixels(np.zeros(2))
        return np.array((self.scale, -self.scale)) * (1 << SHIFT), zero * (1 << SHIFT)

    def length(self, metres: float) -> int:
        """A length as whole pixels, at least one."""
        return max(1, round(metres * self.scale))


def hand_shake(seed: int, time_s: FloatArray, strength: float, scale: float) -> FloatArray:
    """Affine matrices (N, 2, 3) of a hand that cannot hold quite still.

    Slow sway of a few millimetres in the athlete's plane and a tenth of a degree of roll at
    strength 1.
    """
    rng = np.random.default_rng([seed, 41])
    speeds = np.array((0.31, 0.73, 1.9, 4.3))  # Hz
    weights = np.array((1.0, 0.6, 0.25, 0.08))
    sway = []
    for size in (0.006 * scale, 0.005 * scale, np.radians(0.12)):
        phases = rng.uniform(0.0, 2.0 * np.pi, 4)
        waves = np.sin(2.0 * np.pi * speeds * time_s[:, None] + phases) @ weights
        sway.append(strength * size * waves)
    dx, dy, roll = sway
    out = np.zeros((len(time_s), 2, 3))
    out[:, 0, 0] = out[:, 1, 1] = np.cos(roll)
    out[:, 0, 1], out[:, 1, 0] = -np.sin(roll), np.sin(roll)
    out[:, 0, 2], out[:, 1, 2] = dx, dy
    return out


def seen(camera: Camera, points_m: FloatArray, shake: FloatArray | None) -> FloatArray:
    """Where points (N, 2) m of N frames appear in the finished picture, px."""
    at = camera.pixels(points_m)
    if shake is not None:
        centre = np.array((camera.width / 2.0, camera.height / 2.0))
        at = np.einsum("nij,nj->ni", shake[:, :, :2], at - centre) + centre + shake[:, :, 2]
    if camera.facing == "right":
        at = np.stack((camera.width - 1.0 - at[:, 0], at[:, 1]), axis=1)
    return at
