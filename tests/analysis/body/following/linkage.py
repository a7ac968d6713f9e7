"""A body of rods on a sliding seat, with lengths and timing of its own, and a reader of it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from analysis.body.following.observed import Detections
from analysis.body.track import POINTS, Click

STATURE = 431.0  # px
SHANK, THIGH, TRUNK, UPPER, FORE, NECK = 0.25, 0.24, 0.29, 0.18, 0.15, 0.14
FOOT = np.array((310.0, 455.0))


@dataclass(frozen=True)
class Truth:
    time_s: np.ndarray
    xy_px: np.ndarray  # (T, K, 2)
    share: np.ndarray  # (T,) of the stroke

    @property
    def turn_s(self) -> np.ndarray:
        """When the hands are nearest to the feet."""
        return self.time_s[np.flatnonzero(np.diff(np.floor(self.share)) > 0)]


def rower(duration_s: float = 20.0, fps: float = 30.0, seed: int = 3, uneven: float = 1.0) -> Truth:
    """Strokes of 2.3 s, each a little longer or shorter, deeper or flatter than the last."""
    rng = np.random.default_rng(seed)
    time = np.arange(round(duration_s * fps)) / fps
    lengths = 2.3 + 0.06 * uneven * rng.normal(size=40)
    starts = np.concatenate(([-1.1], -1.1 + np.cumsum(lengths)))
    share = np.interp(time, starts, np.arange(len(starts)))
    u = np.mod(share, 1.0)
    # The drive takes two fifths; legs, then trunk, then arms, and back in the other order.
    drive = u < 0.4
    out = np.where(drive, u / 0.4, 1.0 - (u - 0.4) / 0.6)
    legs = _eased(np.where(drive, out / 0.75, (out - 0.0) / 0.7))
    swing = _eased(np.where(drive, (out - 0.3) / 0.65, (out - 0.2) / 0.7))
    arms = _eased(np.where(drive, (out - 0.55) / 0.45, (out - 0.5) / 0.5))
    each = np.floor(share).astype(int)
    wobble = 1.0 + 0.02 * uneven * rng.normal(size=60)[each]
    lean_wobble = 0.03 * uneven * rng.normal(size=60)[each]
    at = {"ankle": FOOT + np.stack((3.0 * np.sin(2 * np.pi * u), -4.0 * np.cos(2 * np.pi * u)), 1)}
    hip_x = FOOT[0] + STATURE * (0.17 + 0.30 * legs * wobble.clip(0.9, 1.02))
    at["hip"] = np.stack((hip_x, np.full_like(hip_x, 428.0)), 1)
    at["knee"] = _joint(at["ankle"], at["hip"], SHANK, THIGH, up=True)
    lean = np.radians(-26.0) + np.radians(50.0) * swing + lean_wobble
    at["shoulder"] = at["hip"] + STATURE * TRUNK * np.stack((np.sin(lean), -np.cos(lean)), 1)
    at["head"] = at["shoulder"] + STATURE * NECK * np.stack(
        (np.sin(0.5 * lean), -np.cos(0.5 * lean)), 1
    )
    reach = STATURE * (UPPER + FORE) * (0.985 - 0.52 * arms)
    drop = np.radians(18.0) + np.radians(12.0) * arms
    at["wrist"] = at["shoulder"] + reach[:, None] * np.stack((-np.cos(drop), np.sin(drop)), 1)
    at["elbow"] = _joint(at["shoulder"], at["wrist"], UPPER, FORE, up=False)
    at["handle"] = at["wrist"] + STATURE * np.array((-0.045, 0.005))
    at["seat"] = at["hip"] + np.array((4.0, 38.0))
    return Truth(time, np.stack([at[name] for name in POINTS], axis=1), share)


def _eased(x: np.ndarray) -> np.ndarray:
    x = np.clip(x, 0.0, 1.0)
    return x**3 * (10.0 - 15.0 * x + 6.0 * x**2)


def _joint(a: np.ndarray, b: np.ndarray, first: float, second: float, up: bool) -> np.ndarray:
    gap = b - a
    far = np.hypot(gap[:, 0], gap[:, 1])
    one, two = first * STATURE, second * STATURE
    along = (one**2 - two**2 + far**2) / (2.0 * far)
    across = np.sqrt(np.maximum(one**2 - along**2, 0.0))
    unit = gap / far[:, None]
    normal = np.stack((unit[:, 1], -unit[:, 0]), 1)
    normal *= np.where((normal[:, 1] < 0) == up, 1.0, -1.0)[:, None]
    return a + unit * along[:, None] + normal * across[:, None]


def read_wrongly(
    truth: Truth,
    seed: int = 5,
    every: int = 3,
    constant: float = 0.010,
    bent: float = 0.012,
    jitter: float = 0.003,
    gross: float = 0.03,
) -> Detections:
    """Detections whose bias hangs on posture; some are simply elsewhere. Shares of stature."""
    rng = np.random.default_rng(seed)
    rows = np.arange(0, len(truth.time_s), every)
    xy = truth.xy_px[rows].copy()
    points = len(POINTS)
    hip, ankle = truth.xy_px[rows, 2], truth.xy_px[rows, 0]
    way = (np.hypot(*(hip - ankle).T) / STATURE - 0.32) / 0.15  # about -1 to 1
    hands = (np.hypot(*(truth.xy_px[rows, 5] - truth.xy_px[rows, 3]).T) / STATURE - 0.25) / 0.1
    mix = rng.normal(size=(2, points, 2)) / np.sqrt(2.0)
    posture = way[:, None, None] * mix[0] + hands[:, None, None] * mix[1]
    xy += STATURE * constant * rng.normal(size=(points, 2))
    xy += STATURE * bent * posture
    xy += STATURE * jitter * rng.standard_t(4, size=xy.shape)
    lost = rng.random(xy.shape[:2]) < gross
    xy[lost] += STATURE * 0.1 * rng.normal(size=(int(lost.sum()), 2))
    xy[:, POINTS.index("handle") :] = np.nan
    sd = np.full(xy.shape[:2], 0.016 * STATURE)
    return Detections(truth.time_s[rows], xy, sd)


def clicks_at(truth: Truth, frames: list[int], seed: int = 9, points: int = 7) -> list[Click]:
    """Somebody places the body points of some frames, half a per cent of stature off."""
    rng = np.random.default_rng(seed)
    out = []
    for frame in frames:
        for p in range(points):
            x, y = truth.xy_px[frame, p] + STATURE * 0.005 * rng.normal(size=2)
            out.append(Click(float(truth.time_s[frame]), POINTS[p], float(x), float(y)))
    return out


def errors(truth: Truth, xy_px: np.ndarray, points: int = 7) -> np.ndarray:
    """Distance (T, points) from the truth, % of stature."""
    off = xy_px[:, :points] - truth.xy_px[:, :points]
    return 100.0 * np.hypot(off[..., 0], off[..., 1]) / STATURE
