"""A published clip of a person raising the arms, made into footage and a force-like recording.

The clip shows one raise in four seconds. It is played to and fro, every pass at a speed of its own,
and turned by a quarter so that up becomes sideways. The recording is made from the wrists published
for every frame (not by this project): their height is the position, their speed upwards the force.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from analysis.force.trace import ForceTrace
from app.media.motion_frames import grey_frames

PASSES = 8
ARM_M = 1.2


@dataclass(frozen=True)
class People:
    """Frames as (video s, grey picture), and the recording with its true offset."""

    frames: list[tuple[float, np.ndarray]]
    trace: ForceTrace
    offset_s: float
    drift_ppm: float


def people(folder: Path, offset_s: float, drift_ppm: float, seed: int, position: bool) -> People:
    """Footage and recording whose clock reads zero `offset_s` after the first frame."""
    grey = [image for _, image in grey_frames(folder / "pose_1.mp4")]
    said = json.loads((folder / "pose_1.mp4__pose_1.json").read_text("utf-8"))
    height = -np.array([0.5 * (f["left_wrist"]["y"] + f["right_wrist"]["y"]) for f in said])
    order, step = zip(*_played(len(grey), seed), strict=True)
    time_s = np.concatenate(([0.0], np.cumsum(step)[:-1]))
    frames = [
        (float(t), np.ascontiguousarray(np.rot90(grey[i], -1)))
        for t, i in zip(time_s, order, strict=True)
    ]
    way = ARM_M * (height - height.min()) / np.ptp(height)
    rate = 1.0 + drift_ppm * 1e-6
    at_s = np.arange(0.0, (time_s[-1] - offset_s) * rate, 0.01)
    moved = np.interp(at_s / rate + offset_s, time_s, way[list(order)])
    smooth = np.convolve(np.pad(moved, 7, mode="edge"), np.ones(15) / 15.0, "valid")
    force = 10.0 + 150.0 * np.maximum(np.gradient(smooth, 0.01), 0.0)
    force = force + np.random.default_rng(seed).normal(0.0, 1.0, len(force))
    trace = ForceTrace(at_s, force, moved if position else None)
    return People(frames, trace, offset_s, drift_ppm)


def _played(count: int, seed: int) -> Iterator[tuple[int, float]]:
    rng = np.random.default_rng(seed)
    for k in range(PASSES):
        step_s = 1.0 / 30.0 / float(rng.uniform(0.9, 1.15))
        for i in range(count) if k % 2 == 0 else range(count - 1, -1, -1):
            yield i, step_s
