"""The camera's own motion, from the scenery around the athlete.

Every frame is compared with a key frame, never with the frame before it, so nothing adds up while
the key frame stays in view; a new one is taken only where too little of the old one is left.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from analysis.body.following.frames import Image, shrunk
from analysis.body.following.opencv import opencv
from analysis.signals.signal import FloatArray

_WIDEST_PX = 1000  # the work is done on a picture at most this wide, shrunk by a whole factor
_FEATURES, _FEWEST = 160, 12
_KEPT_SHARE = 0.45  # of a key frame's features; below it a new one is taken
_FAR_PX = 1.5  # from where the fit puts it, beyond which a feature is not scenery
_NEAR_PX = 0.25  # a feature this near is always scenery
_ALIKE = 3.0  # features err together: on rendered film the fit is off this many times more
_DROPPED_AFTER = 8  # frames in which a feature was not scenery, after which it is left out
# A camera that stood still for so many frames is looked at in one of a few frames only, until it
# moves again; between them it is interpolated. A hand is never so quiet for so long.
_QUIET_FRAMES, _QUIET_PX, _QUIET_STEP = 20, 0.12, 3
STILL_PX = 0.35  # a camera that moves its picture less than this stood still


@dataclass(frozen=True, eq=False)
class Steadying:
    """Motion of the camera over T frames.

    Attributes
    ----------
    to_first : (T, 2, 3) takes pixels of a frame to those of the first; NaN where it was not found
    sd_px : (T,) standard deviation of where a point in the middle of the picture is put
    """

    to_first: FloatArray
    sd_px: FloatArray

    def matrices(self, width: int, height: int) -> FloatArray | None:
        """Give the transforms without holes, or None where the camera stood still."""
        known = np.isfinite(self.to_first).all(axis=(1, 2))
        if not known.any():
            return None
        whole = self.to_first.copy()
        rows = np.arange(len(whole))
        for i in range(2):
            for j in range(3):
                whole[:, i, j] = np.interp(rows, rows[known], self.to_first[known, i, j])
        corners = np.array(((0.0, 0.0), (width, 0.0), (0.0, height), (width, height)))
        moved = np.einsum("tij,kj->tki", whole[:, :, :2], corners) + whole[:, None, :, 2] - corners
        far = np.hypot(moved[..., 0], moved[..., 1])
        if np.percentile(far, 98.0) < STILL_PX:
            return None
        return whole


class Steadier:
    """Takes frames one by one and finds how the camera stood.

    Parameters
    ----------
    moving_px : boxes x0, y0, x1, y1 in which athlete and handle move; features there are not used
    """

    def __init__(self, moving_px: tuple[tuple[float, float, float, float], ...] = ()) -> None:
        self.moving_px = moving_px
        self.scale = 1.0
        self.key: Image | None = None
        self.key_to_first = np.eye(2, 3)
        self.features = np.zeros((0, 2), np.float32)
        self.strikes = np.zeros(0, int)
        self.most = 0  # features of the key frame that fitted at once
        self.now = np.eye(2, 3)  # of the frame before, to the key frame
        self.found: list[FloatArray] = []
        self.sd: list[float] = []
        self.quiet = 0  # fits in a row that moved nothing
        self.skipped = 0

    def step(self, image: Image) -> None:
        """Take the next grey frame."""
        if self.quiet >= _QUIET_FRAMES and self.skipped + 1 < _QUIET_STEP:
            self.skipped += 1
            self._note(np.full((2, 3), np.nan), np.nan)
            return
        self.skipped = 0
        small = self._small(image)
        if self.key is None:
            self._take_key(small, np.eye(2, 3))
            self._note(np.eye(2, 3), 0.0)
            return
        fit = self._fit(small)
        if fit is None:
            self.quiet = 0
            self._note(np.full((2, 3), np.nan), np.nan)
            return
        to_key, sd, count = fit
        self.quiet = self.quiet + 1 if _apart(to_key, self.now, small.shape) < _QUIET_PX else 0
        self.now = to_key
        to_first = _after(self.key_to_first, to_key)
        self._note(to_first, sd)
        # Some features never were scenery; what counts is how many of the others are left.
        self.most = max(self.most, count)
        if count < _KEPT_SHARE * self.most:
            self._take_key(small, to_first)

    def result(self) -> Steadying:
        """Give what was found in all frames so far."""
        matrices = np.array(self.found).reshape(-1, 2, 3)
        matrices[:, :, 2] /= self.scale
        return Steadying(matrices, np.array(self.sd) / self.scale)

    def _small(self, image: Image) -> Image:
        factor = -(-image.shape[1] // _WIDEST_PX)
        self.scale = 1.0 / factor
        return shrunk(image, factor)

    def _note(self, to_first: FloatArray, sd: float) -> None:
        self.found.append(to_first)
        self.sd.append(sd)

    def _take_key(self, small: Image, to_first: FloatArray) -> None:
        cv2 = opencv()
        mask = self._scenery(small.shape, to_first)
        corners = cv2.goodFeaturesToTrack(small, _FEATURES, 0.01, 12, mask=mask)
        count = 0 if corners is None else len(corners)
        if self.key is not None and count < _FEWEST:
            return  # keep what there is
        self.key, self.key_to_first = small, to_first
        self.features = np.zeros((0, 2), np.float32) if corners is None else corners.reshape(-1, 2)
        self.strikes = np.zeros(count, int)
        self.now, self.most = np.eye(2, 3), 0

    def _scenery(self, shape: tuple[int, ...], to_first: FloatArray) -> NDArray[np.uint8]:
        mask = np.full(shape, 255, np.uint8)
        for box in self.moving_px:
            corners = np.array(box).reshape(2, 2) * self.scale
            back = np.linalg.solve(to_first[:, :2], (corners - to_first[:, 2]).T).T
            (x0, y0), (x1, y1) = np.clip(back, 0, None).astype(int)
            mask[y0 : y1 + 1, x0 : x1 + 1] = 0
        return mask

    def _fit(self, small: Image) -> tuple[FloatArray, float, int] | None:
        """Similarity to the key frame, its uncertainty, and how many features fit."""
        cv2 = opencv()
        used = self.strikes < _DROPPED_AFTER
        if used.sum() < _FEWEST:
            return None
        at_key = self.features[used]
        back = cv2.invertAffineTransform(self.now)
        guess = (at_key @ back[:, :2].T + back[:, 2]).astype(np.float32)
        there, ok, _ = cv2.calcOpticalFlowPyrLK(
            self.key, small, at_key.reshape(-1, 1, 2), guess.reshape(-1, 1, 2).copy(),
            winSize=(15, 15), maxLevel=2, flags=cv2.OPTFLOW_USE_INITIAL_FLOW,
        )  # fmt: skip
        there, ok = there.reshape(-1, 2), ok.reshape(-1) == 1
        if ok.sum() < _FEWEST:
            return None
        rough, _ = cv2.estimateAffinePartial2D(
            there[ok], at_key[ok], method=cv2.RANSAC, ransacReprojThreshold=_FAR_PX
        )
        if rough is None:
            return None
        matrix, scenery, sd = _refined(
            there.astype(np.float64), at_key.astype(np.float64), ok, rough
        )
        rows = np.flatnonzero(used)
        self.strikes[rows[~scenery & ok]] += 1
        if scenery.sum() < _FEWEST:
            return None
        return matrix, sd, int(scenery.sum())


def _refined(
    there: FloatArray, at_key: FloatArray, ok: NDArray[np.bool_], matrix: FloatArray
) -> tuple[FloatArray, NDArray[np.bool_], float]:
    """Least squares on what fits, again and again; which fit; how sure the middle is, px."""
    scenery = ok
    sd, far = float("nan"), _FAR_PX
    for _ in range(4):
        off = np.hypot(*(there @ matrix[:, :2].T + matrix[:, 2] - at_key).T)
        scenery = ok & (off < far)
        if scenery.sum() < _FEWEST:
            break
        matrix = similarity(there[scenery], at_key[scenery])
        left = np.hypot(*(there[scenery] @ matrix[:, :2].T + matrix[:, 2] - at_key[scenery]).T)
        sd = _ALIKE * float(np.sqrt(0.5 * np.square(left).mean() / scenery.sum()))
        # Clothes that move a little must not count as scenery that was found badly.
        far = float(np.clip(3.0 * np.median(left), _NEAR_PX, _FAR_PX))
    return matrix, np.asarray(scenery, dtype=np.bool_), sd


def similarity(a: FloatArray, b: FloatArray) -> FloatArray:
    """Turn, size and shift (2, 3) that take points (N, 2) nearest to others, least squares."""
    mean_a, mean_b = a.mean(axis=0), b.mean(axis=0)
    p = (a - mean_a) @ np.array((1.0, 1.0j))
    q = (b - mean_b) @ np.array((1.0, 1.0j))
    factor = complex((p.conj() @ q) / max(float((p.conj() @ p).real), 1e-12))
    turn = np.array(((factor.real, -factor.imag), (factor.imag, factor.real)))
    return np.column_stack((turn, mean_b - turn @ mean_a))


def _apart(one: FloatArray, other: FloatArray, shape: tuple[int, ...]) -> float:
    """How far two transforms put a corner of the picture apart, pixels."""
    height, width = shape[:2]
    corners = np.array(
        ((0.0, 0.0, 1.0), (width, 0.0, 1.0), (0.0, height, 1.0), (width, height, 1.0))
    )
    return float(np.abs(corners @ (one - other).T).max())


def _after(outer: FloatArray, inner: FloatArray) -> FloatArray:
    """Apply first `inner`, then `outer`, as one transform (2, 3)."""
    return np.column_stack((outer[:, :2] @ inner[:, :2], outer[:, :2] @ inner[:, 2] + outer[:, 2]))
