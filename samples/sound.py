"""What the camera's microphone hears: the flywheel's whoosh, the chain, the seat on its rail."""

from __future__ import annotations

import numpy as np

from samples.flywheel import FloatArray
from samples.footage import wheel_angle
from samples.piece import Piece
from samples.rower import Motion
from samples.scene import BLADES

SOUND_HZ = 48_000
_BANDS_HZ = np.geomspace(130.0, 3600.0, 8)
_USUAL_RAD_S = 105.0


def make_sound(piece: Piece, motion: Motion, seed: int) -> np.ndarray:
    """Mono sound of the piece from world time 0: (N,) float32 in -1..1 at `SOUND_HZ`.

    Noise in eight bands whose weights follow the flywheel: faster is louder and brighter. Under
    it a faint hum at the rate of the blades, the chain's rattle and the seat's rolling.
    """
    duration = float(motion.time_s[-1] + (motion.time_s[1] - motion.time_s[0]))
    count = round(duration * SOUND_HZ)
    time_s = np.arange(count) / SOUND_HZ
    rng = np.random.default_rng([seed, 51])
    coarse = np.arange(0.0, duration + 0.01, 0.005)
    speed = np.interp(coarse, piece.time_s, piece.flywheel_rad_s)
    sound = _whoosh(rng, coarse, speed, time_s)
    hum = np.sin(BLADES * wheel_angle(piece, time_s))
    sound += 0.02 * np.interp(time_s, coarse, (speed / _USUAL_RAD_S) ** 2) * hum
    sound += _rattle(rng, piece, coarse, time_s)
    sound += _rolling(rng, motion, time_s)
    return np.clip(0.9 * sound, -1.0, 1.0).astype(np.float32)


def _noise(rng: np.random.Generator, count: int, centre_hz: float, octaves: float) -> FloatArray:
    from scipy.signal import butter, sosfilt

    edges = centre_hz * 2.0 ** (np.array((-0.5, 0.5)) * octaves)
    sections = butter(2, edges, "bandpass", fs=SOUND_HZ, output="sos")
    out: FloatArray = sosfilt(sections, rng.standard_normal(count))
    return out / (out.std() + 1e-12)


def _whoosh(
    rng: np.random.Generator, coarse: FloatArray, speed: FloatArray, time_s: FloatArray
) -> FloatArray:
    centre = 620.0 * (speed / _USUAL_RAD_S) ** 1.6
    level = 0.11 * (speed / _USUAL_RAD_S) ** 3.0
    total = np.zeros(len(time_s))
    for band in _BANDS_HZ:
        weight = level * np.exp(-0.5 * (np.log2(band / centre) / 1.1) ** 2)
        total += np.interp(time_s, coarse, weight) * _noise(rng, len(time_s), band, 0.9)
    return total


def _rattle(
    rng: np.random.Generator, piece: Piece, coarse: FloatArray, time_s: FloatArray
) -> FloatArray:
    """Links running over the sprocket: fine and bright, only while the handle moves."""
    handle = np.interp(coarse, piece.time_s, piece.handle_m)
    pace = np.abs(np.gradient(handle, coarse))
    links = np.interp(time_s, piece.time_s, piece.handle_m) / 0.028
    pulse = np.exp(-10.0 * (links % 1.0))
    return 0.018 * np.interp(time_s, coarse, pace) * pulse * _noise(rng, len(time_s), 4200.0, 1.0)


def _rolling(rng: np.random.Generator, motion: Motion, time_s: FloatArray) -> FloatArray:
    seat = motion.points["seat"][:, 0]
    pace = np.abs(np.gradient(seat, motion.time_s))
    return 0.035 * np.interp(time_s, motion.time_s, pace) * _noise(rng, len(time_s), 240.0, 1.4)
