"""Footage from a dark boathouse made light enough to see a joint in."""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from app.media.opencv import opencv

# At full lift a level of 30 of 255, a dark sleeve, comes out at 110, a well-lit one.
STRONGEST_GAMMA = 2.5


def lifted(image: NDArray[np.uint8], lift: float) -> NDArray[np.uint8]:
    """Raise the dark parts of a picture; black stays black and white stays white.

    Parameters
    ----------
    image : (H, W, 3 or 4) uint8; a fourth channel is opacity and comes out as it was for 255
    lift : 0 leaves the picture as it was filmed (and returns it itself), 1 is the most
    """
    if lift <= 0.0:
        return image
    result: NDArray[np.uint8] = opencv().LUT(image, _table(round(min(lift, 1.0), 3)))
    return result


@lru_cache(maxsize=8)
def _table(lift: float) -> NDArray[np.uint8]:
    """(256,) uint8, the power law of a display's gamma turned the other way."""
    gamma = 1.0 + (STRONGEST_GAMMA - 1.0) * lift
    levels = 255.0 * (np.arange(256) / 255.0) ** (1.0 / gamma)
    return np.round(levels).astype(np.uint8)
