"""Points of the body and the machine in a film, over time, with how sure each of them is."""

from __future__ import annotations

from dataclasses import dataclass
from enum import IntEnum
from typing import Final

import numpy as np
from numpy.typing import NDArray

from analysis.signals.signal import FloatArray

# The side of the athlete that is near the camera, then what they hold and sit on.
POINTS: Final = (
    "ankle", "knee", "hip", "shoulder", "elbow", "wrist", "head", "handle", "seat",
)  # fmt: skip
# What does not move: the foot plate, the end of the rail away from the flywheel, its centre, and
# the ends of the two bars the machine stands on, which run straight away from a square camera.
FEET: Final = (
    ("front_foot_near", "front_foot_far"),
    ("rear_foot_near", "rear_foot_far"),
)
FIXED_POINTS: Final = ("stretcher", "rail_end", "wheel_centre", *FEET[0], *FEET[1])


class Source(IntEnum):
    """What a point of a frame was read from."""

    UNKNOWN = 0
    DETECTOR = 1
    FLOW = 2  # followed from a frame where it was known
    PHASE = 3  # from the same moment of other strokes
    HAND = 4  # placed by a person


@dataclass(frozen=True)
class Click:
    """A point placed by hand.

    Attributes
    ----------
    time_s : of the frame, seconds of the film
    point : one of `POINTS` or `FIXED_POINTS`
    x_px, y_px : in the upright picture
    """

    time_s: float
    point: str
    x_px: float
    y_px: float


@dataclass(frozen=True, eq=False)
class BodyTrack:
    """Where each point is in each of T frames; K points in the order of `POINTS`.

    Attributes
    ----------
    time_s : (T,) seconds of the film, strictly ascending
    xy_px : (T, K, 2) pixels of the upright picture; NaN where not known
    sd_px : (T, K) standard deviation of each coordinate, pixels; NaN where not known
    source : (T, K) uint8, a `Source` each
    steady : (T, 2, 3) takes pixels of a frame to those of the first one, without the camera's
        motion; None where the camera stood still
    shared_sd_px : (T, K) part of `sd_px` that neighbours may have in common (`shared_error.py`);
        None where nothing is known of that and errors count as each point's own
    """

    time_s: FloatArray
    xy_px: FloatArray
    sd_px: FloatArray
    source: NDArray[np.uint8]
    steady: FloatArray | None = None
    shared_sd_px: FloatArray | None = None

    def __post_init__(self) -> None:
        shape = (len(self.time_s), len(POINTS))
        if self.xy_px.shape != (*shape, 2):
            raise ValueError("The points of a track must be one row a frame, one column a point.")
        if self.sd_px.shape != shape or self.source.shape != shape:
            raise ValueError("Each point of a track needs its uncertainty and its source.")
        if self.shared_sd_px is not None and self.shared_sd_px.shape != shape:
            raise ValueError("What errors share must be told of each point of a track.")

    def of(self, point: str) -> FloatArray:
        """Give one point over time: (T, 2), pixels."""
        xy_px: FloatArray = self.xy_px[:, POINTS.index(point)]
        return xy_px
