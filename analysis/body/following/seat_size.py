"""How large the seat is seen: where it comes nearer to a camera that is not square, it grows."""

from __future__ import annotations

import numpy as np

from analysis.body.following.frames import Image
from analysis.body.following.observed import SeatSizes
from analysis.body.following.opencv import opencv
from analysis.body.following.rigid import Match, Template
from analysis.signals.signal import FloatArray

_EACH = 4  # of so many frames one is looked at
_ROUNDS = 8
_LEAST_ALIKE = 0.85  # correlation with the template, enlarged
_MOST_CHANGE = 0.3  # of size
_FEWEST = 12


class SeatSizing:
    """Takes the frames in which the seat was found, one by one."""

    def __init__(self) -> None:
        self.rows: list[tuple[float, float, float]] = []
        self.count = 0

    def step(self, image: Image, template: Template, match: Match | None) -> None:
        """Look how large it is here."""
        self.count += 1
        if match is None or self.count % _EACH:
            return
        size = size_of(image, template, match.x_px, match.y_px)
        if size is not None:
            self.rows.append((match.x_px, match.y_px, size))

    def result(self) -> SeatSizes | None:
        """Give the sizes; None where too few were told."""
        if len(self.rows) < _FEWEST:
            return None
        x, y, size = np.array(self.rows).T
        return SeatSizes(x, y, size)


def size_of(image: Image, template: Template, x_px: float, y_px: float) -> float | None:
    """How many times the template's size its picture has near a place; None: it is not there.

    Shift, size and brightness are fitted together (Lucas-Kanade).
    """
    r = template.radius
    v, u = (side.reshape(-1) for side in np.mgrid[-r : r + 1, -r : r + 1].astype(np.float64))
    w = template.weight.reshape(-1).astype(np.float64)
    wanted = template.patch.reshape(-1).astype(np.float64)
    slope_y, slope_x = (s.reshape(-1) for s in np.gradient(template.patch.astype(np.float64)))
    design = np.stack(
        (slope_x, slope_y, u * slope_x + v * slope_y, np.ones_like(u), wanted), axis=1
    )
    weighted = design * w[:, None]
    normal = weighted.T @ design
    if np.linalg.cond(normal[:2, :2]) > 1e4:
        return None
    inverse = np.linalg.inv(normal + 1e-6 * np.eye(5))
    at, size = np.array((x_px, y_px)), 1.0
    seen = wanted
    for _ in range(_ROUNDS):
        seen = _sampled(image, at[0] + size * u, at[1] + size * v)
        change = inverse @ (weighted.T @ (seen - wanted))
        # The sample shows the template shifted and enlarged by the change: undo that.
        at = at - size * change[:2]
        size *= 1.0 - float(change[2])
        if not (abs(size - 1.0) <= _MOST_CHANGE and np.hypot(*(at - (x_px, y_px))) <= 0.5 * r):
            return None
        if abs(float(change[2])) < 1e-4:
            break
    return size if _alike(seen, wanted, w) >= _LEAST_ALIKE else None


def _sampled(image: Image, x: FloatArray, y: FloatArray) -> FloatArray:
    cv2 = opencv()
    at_x, at_y = (v.astype(np.float32).reshape(1, -1) for v in (x, y))
    read = cv2.remap(image, at_x, at_y, cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
    return np.asarray(read, dtype=np.float64).reshape(-1)


def _alike(a: FloatArray, b: FloatArray, w: FloatArray) -> float:
    a, b = a - np.average(a, weights=w), b - np.average(b, weights=w)
    size = np.sqrt((w * a * a).sum() * (w * b * b).sum())
    return float((w * a * b).sum() / size) if size > 0.0 else 0.0
