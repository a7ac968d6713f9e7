"""Tracks of the simulated athlete's points as somebody would have followed them."""

from __future__ import annotations

import numpy as np

from analysis.body.following.follow import Followed
from analysis.body.following.observed import Observed
from analysis.body.following.turns import phase_of_points
from analysis.body.track import POINTS, BodyTrack, Source
from samples.camera import Camera, hand_shake, seen
from samples.piece import Piece
from samples.rower import Build, move

CAMERA = Camera(1280, 720)


def track_of(
    piece: Piece,
    noise: float = 0.0,
    bias: float = 0.0,
    fps: float = 30.0,
    seed: int = 0,
    camera: Camera = CAMERA,
    shake: float = 0.0,
    build: Build | None = None,
) -> BodyTrack:
    """Follow the athlete of a piece.

    Parameters
    ----------
    noise : jitter of every point, share of stature
    bias : what stays and what comes back with each stroke, share of stature, as 1.2 to 1.0; not
        of the handle and the seat, which are rigid things with marks of their own
    shake : of the hand that holds the camera; the track knows how to take it out
    """
    rng = np.random.default_rng([seed, 77])
    time_s = np.arange(0.0, float(piece.time_s[-1]), 1.0 / fps)
    build = build or Build()
    motion = move(piece, time_s, build)
    shaken = hand_shake(seed, time_s, shake, camera.scale) if shake else None
    stature_px = camera.scale * build.stature_m
    starts = np.array([c.start_s for c in piece.cycles])
    phase = 2.0 * np.pi * np.interp(time_s, starts, np.arange(len(starts)))
    xy, sd = [], []
    for name in POINTS:
        at = seen(camera, motion.points[name], shaken)
        own = 0.0 if name in ("handle", "seat") else bias
        parts = own * stature_px * np.array((1.2, 1.0, 1.0)) / np.hypot(1.2, 1.0)
        stays, sine, cosine = (part * rng.normal(size=2) for part in parts)
        off = stays + sine * np.sin(phase)[:, None] + cosine * np.cos(phase)[:, None]
        xy.append(at + off + noise * stature_px * rng.normal(size=at.shape))
        sd.append(np.full(len(time_s), stature_px * max(float(np.hypot(own, noise)), 1e-4)))
    steady = None
    if shaken is not None:
        steady = np.array([_back(m, camera) for m in shaken])
    source = np.full((len(time_s), len(POINTS)), Source.DETECTOR, np.uint8)
    return BodyTrack(time_s, np.stack(xy, axis=1), np.stack(sd, axis=1), source, steady)


def followed_as(track: BodyTrack) -> Followed:
    """A track as it comes from following a film: with readings that say the same."""
    phase = phase_of_points(track.time_s, track.xy_px)
    read = (track.time_s, track.xy_px, track.sd_px, track.source, phase, track.steady)
    return Followed(track, Observed(*read))


def _back(shake: np.ndarray, camera: Camera) -> np.ndarray:
    """What takes the pixels of a shaken picture back, for an athlete who looks left."""
    centre = np.array((camera.width / 2.0, camera.height / 2.0))
    turn = np.linalg.inv(shake[:, :2])
    return np.column_stack((turn, centre - turn @ (centre + shake[:, 2])))
