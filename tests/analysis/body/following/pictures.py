"""Pictures of the linkage: a speckled patch at every point, before a wall of another speckle."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from analysis.body.following.opencv import opencv
from tests.analysis.body.following.linkage import Truth

cv2 = opencv()
WIDTH, HEIGHT, EDGE = 800, 520, 40
PATCH = 17  # half the side


def speckle(height: int, width: int, seed: int, coarse: float = 2.0) -> np.ndarray:
    noise = np.random.default_rng(seed).normal(size=(height, width)).astype(np.float32)
    soft = cv2.GaussianBlur(noise, (0, 0), coarse)
    return 128.0 + 45.0 * soft / soft.std()


class Film:
    """Reads like a film.

    Parameters
    ----------
    camera : (T, 2, 3) takes places of the still scene to pixels of each frame; None is a tripod
    hidden : frames in which a grey board stands before the handle
    """

    def __init__(
        self,
        truth: Truth,
        camera: np.ndarray | None = None,
        noise: float = 2.0,
        hidden: tuple[int, ...] = (),
    ) -> None:
        self.truth, self.camera, self.noise, self.hidden = truth, camera, noise, set(hidden)
        self.wall = speckle(HEIGHT + 2 * EDGE, WIDTH + 2 * EDGE, 1, 4.0)
        side = 2 * PATCH + 1
        self.patches = [speckle(side, side, 10 + p) for p in range(truth.xy_px.shape[1])]
        at = np.arange(-PATCH, PATCH + 1)
        self.round = (np.hypot(at[:, None], at[None]) <= PATCH).astype(np.float32)
        rng = np.random.default_rng(3)
        self.grain = rng.normal(size=(HEIGHT + 64, WIDTH + 64)).astype(np.float32)
        self.reads = 0

    @property
    def seen_px(self) -> np.ndarray:
        """(T, K, 2) where the points are in the pictures."""
        if self.camera is None:
            return self.truth.xy_px
        turned = np.einsum("tij,tkj->tki", self.camera[:, :, :2], self.truth.xy_px)
        return turned + self.camera[:, None, :, 2]

    def frame(self, i: int) -> np.ndarray:
        camera = np.eye(2, 3) if self.camera is None else self.camera[i]
        from_wall = camera @ np.array(((1.0, 0.0, -EDGE), (0.0, 1.0, -EDGE), (0.0, 0.0, 1.0)))
        size = (WIDTH, HEIGHT)
        image = cv2.warpAffine(self.wall, from_wall, size, borderMode=cv2.BORDER_REFLECT)
        side = 2 * PATCH + 5
        for p, (x, y) in enumerate(self.truth.xy_px[i]):
            put = camera @ np.array(((1.0, 0.0, x - PATCH), (0.0, 1.0, y - PATCH), (0.0, 0.0, 1.0)))
            left, top = (int(v) - 1 for v in put[:, 2])
            put[:, 2] -= (left, top)
            shown = cv2.warpAffine(self.round, put, (side, side))
            patch = cv2.warpAffine(
                self.patches[p], put, (side, side), borderMode=cv2.BORDER_REPLICATE
            )
            part = image[top : top + side, left : left + side]
            part += shown * (patch - part)
        if i in self.hidden:
            x, y = self.seen_px[i, 7].astype(int)
            image[y - 50 : y + 50, x - 50 : x + 50] = 90.0
        y, x = 37 * i % 60, 53 * i % 64
        image = image + self.noise * self.grain[y : y + HEIGHT, x : x + WIDTH]
        return np.clip(np.rint(image), 0, 255).astype(np.uint8)

    def __call__(self, start_s: float, end_s: float) -> Iterator[tuple[float, np.ndarray]]:
        for i, time_s in enumerate(self.truth.time_s):
            if start_s <= time_s < end_s:
                self.reads += 1
                yield float(time_s), self.frame(i)


def hand_held(frames: int, seed: int = 4) -> np.ndarray:
    """Camera matrices (T, 2, 3) that start at none and sway by some pixels and a little turn."""
    rng = np.random.default_rng(seed)
    t = np.arange(frames)[:, None] / 30.0
    waves = np.sin(2 * np.pi * np.array((0.3, 0.8, 2.1)) * t)
    dx, dy, turn = (waves @ (rng.normal(size=3) * s) for s in (5.0, 4.0, 0.004))
    out = np.zeros((frames, 2, 3))
    out[:, 0, 0] = out[:, 1, 1] = np.cos(turn)
    out[:, 1, 0], out[:, 0, 1] = np.sin(turn), -np.sin(turn)
    out[:, 0, 2], out[:, 1, 2] = dx, dy
    return out
