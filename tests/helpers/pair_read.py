"""What a picture of two strokes shows, read from its pixels and held against what was rowed."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tests.helpers.filmed_rowers import (
    FPS,
    POINTS,
    Filmed,
    Image,
    belongs_s,
    number_in,
    points_of,
    seen_points,
)


@dataclass(frozen=True)
class PairRead:
    """One pair as it was seen.

    Attributes
    ----------
    left, right : numbers of the frames, from their pixels
    apart_px : (2,) from each body point of the left picture to that of the right one, pixels of
        the left video
    """

    left: int
    right: int
    apart_px: dict[str, NDArray[np.float64]]


@dataclass(frozen=True)
class PairsApart:
    """How far two strokes are apart over the whole of the left one.

    Attributes
    ----------
    frames : (P,) the right frame shown less the instant that belongs there, frames
    floor : (P,) the same for the nearest of all whole frames
    apart_px : (P,) for each body point, pixels of the left video
    rowed_px : (P,) the same between the bodies at one true phase, without frames or pictures: what
        the rower does differently at another rate
    laid_px : (P,) how far each point of the right picture is from where the body on that frame
        truly was: what laying the pictures together leaves
    """

    frames: NDArray[np.float64]
    floor: NDArray[np.float64]
    apart_px: dict[str, NDArray[np.float64]]
    rowed_px: dict[str, NDArray[np.float64]]
    laid_px: dict[str, NDArray[np.float64]]


def read_pair(left: Image, right: Image, scale: float) -> PairRead:
    """Read two pictures of the scene, each cut out where the left film's picture lies.

    Parameters
    ----------
    scale : pixels of the pictures for each of the left video
    """
    here, there = seen_points(left), seen_points(right)
    apart = {name: (there[name] - here[name]) / scale for name in POINTS}
    return PairRead(number_in(left), number_in(right), apart)


def pairs_apart(left: Filmed, right: Filmed, pairs: Iterable[PairRead]) -> PairsApart:
    """Hold what was seen within the left stroke against what was rowed."""
    inside = [p for p in pairs if left.true.catch_s <= p.left / FPS <= left.true.next_catch_s]
    wanted = np.array([belongs_s(left, right, p.left / FPS) * FPS for p in inside])

    def bodies(frames: NDArray[np.float64]) -> dict[str, NDArray[np.float64]]:
        """(P, 2) from the left body to the right one on frames, or between them, by point."""
        found: dict[str, list[NDArray[np.float64]]] = {name: [] for name in POINTS}
        for pair, frame in zip(inside, frames, strict=True):
            here, there = points_of(left, pair.left / FPS), points_of(right, float(frame) / FPS)
            for name in POINTS:
                way = (there[name] - here[name]) * np.array((1.0, -1.0))  # pixels count downwards
                found[name].append(way * left.camera.scale)
        return {name: np.array(ways) for name, ways in found.items()}

    shown = np.array([float(p.right) for p in inside])
    seen = {name: np.array([p.apart_px[name] for p in inside]) for name in POINTS}
    rowed, there = bodies(wanted), bodies(shown)
    return PairsApart(
        shown - wanted,
        np.round(wanted) - wanted,
        {name: np.hypot(*seen[name].T) for name in POINTS},
        {name: np.hypot(*rowed[name].T) for name in POINTS},
        {name: np.hypot(*(seen[name] - there[name]).T) for name in POINTS},
    )
