"""Painting rounded, softly lit shapes with polygons."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from app.media.opencv import opencv
from samples.camera import SHIFT, Camera
from samples.flywheel import FloatArray

cv2 = opencv()

Colour = tuple[int, int, int]  # blue, green, red
Image = np.ndarray
LIGHT = np.array((-0.35, 0.94))  # towards the lamp, x towards the finish, y up
LAYERS = np.array((0.0, 0.16, 0.32, 0.47, 0.61, 0.74, 0.86))
_CAP = np.linspace(-np.pi / 2, 0.0, 7)


@dataclass(frozen=True)
class Tone:
    """A colour in shadow and in light."""

    dark: Colour
    light: Colour

    def dimmed(self, share: float) -> Tone:
        """The same material farther from the lamp."""

        def dim(c: Colour) -> Colour:
            return round(c[0] * share), round(c[1] * share), round(c[2] * share)

        return Tone(dim(self.dark), dim(self.light))

    @lru_cache(maxsize=64)  # noqa: B019 - a handful of frozen tones
    def steps(self) -> list[Colour]:
        """One colour a layer, from the rim inwards."""
        dark, light = np.array(self.dark, float), np.array(self.light, float)
        mix = (LAYERS / LAYERS[-1])[:, None] ** 0.9
        return [(int(b), int(g), int(r)) for b, g, r in dark + (light - dark) * mix]


def fill(image: Image, camera: Camera, outline: FloatArray, colour: Colour) -> None:
    """Fill an outline (N, 2) given in metres."""
    cv2.fillPoly(image, [camera.fixed(outline)], colour, cv2.LINE_AA, SHIFT)


def ribbon(
    image: Image,
    camera: Camera,
    spine: FloatArray,
    left: Sequence[float] | FloatArray,
    right: Sequence[float] | FloatArray,
    tone: Tone,
) -> None:
    """Paint a rounded body along a spine, lit from `LIGHT`.

    Parameters
    ----------
    spine : (N, 2) m, N >= 2
    left, right : (N,) m, half widths on either side seen along the spine; ends are rounded
    """
    one, two = _outline(np.asarray(spine), np.asarray(left), np.asarray(right))
    normal_up = ((one - two) @ LIGHT)[:, None]
    size = np.hypot(*(one - two).T)[:, None] + 1e-9
    lit = np.clip(normal_up / size, -1.0, 1.0)
    ridge = 0.5 * (one + two) + 0.5 * (one - two) * 0.55 * lit
    rim = np.concatenate((one, two[::-1]))
    middle = np.concatenate((ridge, ridge[::-1]))
    outlines = camera.fixed(rim + (middle - rim) * LAYERS[:, None, None])
    for outline, colour in zip(outlines, tone.steps(), strict=True):
        cv2.fillPoly(image, [outline], colour, cv2.LINE_AA, SHIFT)


def _outline(
    spine: FloatArray, left: FloatArray, right: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """Both edges of a ribbon with rounded ends."""
    along = np.gradient(spine, axis=0)
    along /= np.hypot(*along.T)[:, None] + 1e-12
    start_r, end_r = 0.5 * (left[0] + right[0]), 0.5 * (left[-1] + right[-1])
    head = spine[0] + along[0] * (start_r * np.sin(_CAP[:-1]))[:, None]
    tail = spine[-1] - along[-1] * (end_r * np.sin(_CAP[::-1][1:]))[:, None]
    grow, shrink = np.cos(_CAP[:-1]), np.cos(_CAP[::-1][1:])
    centre = np.concatenate((head, spine, tail))
    tangent = np.concatenate(
        (np.tile(along[0], (len(head), 1)), along, np.tile(along[-1], (len(tail), 1)))
    )
    normal = np.stack((-tangent[:, 1], tangent[:, 0]), axis=1)
    wide_l = np.concatenate((left[0] * grow, left, left[-1] * shrink))
    wide_r = np.concatenate((right[0] * grow, right, right[-1] * shrink))
    return centre + normal * wide_l[:, None], centre - normal * wide_r[:, None]


def straight(a: FloatArray, b: FloatArray, count: int = 9) -> FloatArray:
    """Evenly spaced points from a to b."""
    t = np.linspace(0.0, 1.0, count)[:, None]
    return a + (b - a) * t


def through(points: FloatArray, count: int = 17) -> FloatArray:
    """A smooth curve through a few points (Catmull-Rom)."""
    p = np.concatenate((2 * points[:1] - points[1:2], points, 2 * points[-1:] - points[-2:-1]))
    t = np.linspace(0.0, len(points) - 1.0 - 1e-9, count)
    i = t.astype(int)
    f = (t - i)[:, None]
    a, b, c, d = p[i], p[i + 1], p[i + 2], p[i + 3]
    return 0.5 * (
        2 * b + (c - a) * f + (2 * a - 5 * b + 4 * c - d) * f**2 + (3 * b - a - 3 * c + d) * f**3
    )


def profile(knots: Sequence[tuple[float, float]], count: int) -> FloatArray:
    """Half widths at `count` even places from a few (place 0-1, width) knots, rounded between."""
    at, width = np.array(knots).T
    t = np.linspace(0.0, 1.0, count)
    fine = np.interp(np.linspace(0.0, 1.0, 101), at, width)
    kernel = np.hanning(23)
    padded = np.pad(fine, 11, mode="edge")
    return np.interp(
        t, np.linspace(0.0, 1.0, 101), np.convolve(padded, kernel / kernel.sum(), "valid")
    )
