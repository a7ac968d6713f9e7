"""How large the athlete stands in the picture, and which lengths of the body stay."""

from __future__ import annotations

import numpy as np

from analysis.body.track import POINTS
from analysis.signals.signal import FloatArray

# Shares of stature (Drillis and Contini 1966, as in Winter's handbook): shank, thigh, hip to
# shoulder, upper arm, forearm.
SEGMENTS = (
    ("ankle", "knee", 0.246),
    ("knee", "hip", 0.245),
    ("hip", "shoulder", 0.288),
    ("shoulder", "elbow", 0.186),
    ("elbow", "wrist", 0.146),
)
# Segments that keep their length in the picture, with how well (share of stature). The trunk
# bends; an elbow held wide turns the arm out of the picture's plane.
LIMBS = (
    ("ankle", "knee", 0.010),
    ("knee", "hip", 0.010),
    ("shoulder", "elbow", 0.020),
    ("elbow", "wrist", 0.020),
)
_FALLBACK_SHARE = 0.6  # of the width of everything known, where no segment is


def index(point: str) -> int:
    """Place of a point in `POINTS`."""
    return POINTS.index(point)


def stature_px(xy_px: FloatArray) -> float:
    """Stature of the athlete in pixels from points (T, K, 2), by usual proportions.

    Returns
    -------
    NaN where fewer than two points are known.
    """
    lengths, shares = 0.0, 0.0
    for a, b, share in SEGMENTS:
        gap = xy_px[:, index(a)] - xy_px[:, index(b)]
        far = np.hypot(gap[:, 0], gap[:, 1])
        if np.isfinite(far).any():
            lengths += float(np.nanmedian(far))
            shares += share
    if shares > 0.0:
        return lengths / shares
    known = xy_px[np.isfinite(xy_px).all(axis=-1)]
    if len(known) < 2:
        return float("nan")
    return float(np.ptp(known, axis=0).max()) / _FALLBACK_SHARE
