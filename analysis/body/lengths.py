"""How long a pixel is: from a known length, a stated stature, or as a share of the body."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from analysis.body.angles import BODY_LENGTHS, METRES
from analysis.body.track import POINTS
from analysis.signals.signal import FloatArray

# Lengths of segments as shares of stature: Drillis & Contini 1966 as printed in Winter,
# Biomechanics and Motor Control of Human Movement, fig. 4.1. The trunk is left out: it bends.
SEGMENTS: Final = {
    ("ankle", "knee"): 0.246,
    ("knee", "hip"): 0.245,
    ("shoulder", "elbow"): 0.186,
    ("elbow", "wrist"): 0.146,
}
# People differ from these means, and detectors from joints: common practice, no source.
BUILD_SD = 0.04
# A length measured on the machine and clicked at both ends: common practice, no source.
KNOWN_SD = 0.01


@dataclass(frozen=True)
class KnownLength:
    """A length of the machine as it is seen in the picture.

    Attributes
    ----------
    metres, pixels : the same length
    sd : of their quotient, as a share
    """

    metres: float
    pixels: float
    sd: float = KNOWN_SD


@dataclass(frozen=True)
class Scale:
    """Pixels in the unit of length, its name, and how sure that is (standard deviation, share)."""

    pixels: float
    unit: str
    sd: float


def body_pixels(xy_px: FloatArray) -> float | None:
    """How many pixels the athlete's stature is, from arm and leg; None where they are not known.

    Parameters
    ----------
    xy_px : (T, K, 2) in the order of `POINTS`
    """
    pixels, shares = 0.0, 0.0
    for (one, other), share in SEGMENTS.items():
        gap = xy_px[:, POINTS.index(one)] - xy_px[:, POINTS.index(other)]
        long = np.hypot(gap[:, 0], gap[:, 1])
        if np.isfinite(long).any():
            pixels += float(np.nanmedian(long))
            shares += share
    return pixels / shares if pixels > 0.0 else None


def scale_of(
    xy_px: FloatArray, stature_m: float | None = None, known: KnownLength | None = None
) -> Scale | None:
    """Choose the surest scale there is; None where no length of the body is known either.

    A known length gives metres, a stated stature gives metres by way of the body's own pixels,
    and without either everything is a share of stature.
    """
    if known is not None and known.pixels > 0.0 and known.metres > 0.0:
        return Scale(known.pixels / known.metres, METRES, known.sd)
    pixels = body_pixels(xy_px)
    if pixels is None:
        return None
    if stature_m is not None and stature_m > 0.0:
        return Scale(pixels / stature_m, METRES, BUILD_SD)
    return Scale(pixels, BODY_LENGTHS, BUILD_SD)
