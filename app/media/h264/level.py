"""The level of an H.264 stream: how much a decoder must be able to do (ITU-T H.264, table A-1)."""

from __future__ import annotations

import math
from typing import Final

import numpy as np
from numpy.typing import NDArray

# Level times ten, macroblocks a second, macroblocks a frame, macroblocks of kept frames.
_LIMITS: Final = (
    (10, 1_485, 99, 396),
    (11, 3_000, 396, 900),
    (12, 6_000, 396, 2_376),
    (13, 11_880, 396, 2_376),
    (21, 19_800, 792, 4_752),
    (22, 20_250, 1_620, 8_100),
    (30, 40_500, 1_620, 8_100),
    (31, 108_000, 3_600, 18_000),
    (32, 216_000, 5_120, 20_480),
    (40, 245_760, 8_192, 32_768),
    (42, 522_240, 8_704, 34_816),
    (50, 589_824, 22_080, 110_400),
    (51, 983_040, 36_864, 184_320),
    (52, 2_073_600, 36_864, 184_320),
    (60, 4_177_920, 139_264, 696_320),
    (61, 8_355_840, 139_264, 696_320),
    (62, 16_711_680, 139_264, 696_320),
)
_KEPT_FRAMES: Final = 4  # what the encoder's preset refers to at most


def level_of(width: int, height: int, fps: float) -> int:
    """Give the lowest level, times ten, whose decoders can show such pictures in time.

    Parameters
    ----------
    width, height : pixels
    fps : frames a second
    """
    wide, high = math.ceil(width / 16), math.ceil(height / 16)
    size = wide * high
    for level, rate, largest, kept in _LIMITS:
        fits = size <= largest and max(wide, high) <= math.sqrt(8 * largest)
        if fits and size * fps <= rate and _KEPT_FRAMES * size <= kept:
            return level
    return _LIMITS[-1][0]


def rate_of(time_s: NDArray[np.float64], otherwise: float = 30.0) -> float:
    """Frames a second of frames at these times, by the usual distance between two."""
    if len(time_s) < 2:
        return otherwise
    return 1.0 / max(1e-3, float(np.median(np.diff(time_s))))
