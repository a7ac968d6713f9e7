"""What the errors of neighbouring points have in common: an angle does not see what both share.

A network that finds a shoulder too high mostly finds elbow and hip too high as well, until a person
places points: what is left then is each point's own. Measured on drawn athletes in four kinds of
film (correlation across the limb 0.4 of the trunk, 0.6 of the arm, none of the shank), in accord
with labelled pictures of 45 strangers: their trunk was off by half of what independent errors make
of it, the elbow by two thirds, knee and hip by all of it. So of the leg nothing counts as shared.
"""

from __future__ import annotations

from typing import Final

import numpy as np

from analysis.body.track import POINTS, BodyTrack
from analysis.signals.signal import FloatArray

# Of stature: so much of a point's deviation is its own. The rest is what `SHARES` are shares of.
OWN_SD: Final = 0.009
SHARES: Final = {("hip", "shoulder"): 0.6, ("shoulder", "elbow"): 0.75, ("elbow", "wrist"): 0.75}


def shared_sd(sd_px: FloatArray, stature_px: float) -> FloatArray:
    """Give the part of deviations that neighbours may have in common, pixels.

    Parameters
    ----------
    sd_px : of points a network found
    """
    shared: FloatArray = np.sqrt(np.maximum(np.square(sd_px) - (OWN_SD * stature_px) ** 2, 0.0))
    return shared


def covariance(track: BodyTrack, one: str, other: str) -> FloatArray:
    """Covariance (T,) of the same coordinate of two points of a limb, px^2; 0 where none is known.

    Parameters
    ----------
    one, other : in the order of `SHARES`, next to each other
    """
    if track.shared_sd_px is None:
        return np.zeros(len(track.time_s))
    a, b = (track.shared_sd_px[:, POINTS.index(name)] for name in (one, other))
    common: FloatArray = SHARES.get((one, other), 0.0) * a * b
    return common
