"""The points of one person in a region of a picture: a network and how its answer is read.

It gives 39 points of a 256 x 256 picture (33 of the body, two that say where to look next, four
spare) and a map of where each is likely. The maps, four pixels a cell, are finer than the numbers:
a point is moved to the middle of what its map shows around it.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from analysis.body.detecting.network import Network
from analysis.body.detecting.region import Image, Region, cut_out, region_around
from analysis.signals.signal import FloatArray

SIDE_PX: Final = 256
COUNT: Final = 39
BODY: Final = 33
CELLS: Final = 64
OUTPUTS: Final = ((1, COUNT * 5), (1, 1), (1, SIDE_PX, SIDE_PX, 1), (1, CELLS, CELLS, COUNT))
_HIPS, _TOP = 33, 34  # middle of the hips, and a point of the circle that holds the body

# Cells to each side of a point that its map is read in: 7 x 7.
_REACH: Final = 3
# A map that is nowhere as likely as this does not move its point.
_LEAST_LIKELY: Final = 0.5


@dataclass(frozen=True, eq=False)
class Landmarks:
    """Points of one person.

    Attributes
    ----------
    xy_px : (33, 2) pixels of the picture
    depth : (33,) towards the camera is negative, hips are zero, in sides of the region
    visible : (33,) 0 to 1, whether the network thinks a point is not hidden
    presence : 0 to 1, whether it thinks somebody is there; no measure of how good the points are
    region : where to look in the next frame; None where the points leave that open
    """

    xy_px: FloatArray
    depth: FloatArray
    visible: FloatArray
    presence: float
    region: Region | None


class Landmarker:
    """Finds the points of the person in a region."""

    def __init__(self, network: Network) -> None:
        self._network = network

    def find(self, image: Image, region: Region) -> Landmarks:
        """Find them in (height, width, 3) red green blue bytes."""
        return self.find_in(seen_in(image, region), region)

    def find_in(self, seen: NDArray[np.float32], region: Region) -> Landmarks:
        """Find them in what `seen_in` gave for the region."""
        rows, presence, _, maps = self._network.run(seen)
        points = rows.reshape(COUNT, 5).astype(float)
        refined = refined_by_maps(points[:, :2] / SIDE_PX, maps[0])
        xy_px = region.to_picture(refined)
        return Landmarks(
            xy_px[:BODY],
            points[:BODY, 2] / SIDE_PX,
            _logistic(points[:BODY, 3]),
            float(presence[0, 0]),
            region_around(xy_px[_HIPS], xy_px[_TOP]),
        )


def seen_in(image: Image, region: Region) -> NDArray[np.float32]:
    """Give a region as the networks of points take it: 256 x 256, 0 to 1, edges repeated."""
    return cut_out(image, region, SIDE_PX, beyond=None) / np.float32(255.0)


def refined_by_maps(shares: FloatArray, maps: NDArray[np.float32]) -> FloatArray:
    """Move points (N, 2) in shares of the picture to the middle of their maps around them.

    Parameters
    ----------
    maps : (cells, cells, N) the logit of being there, row by row
    """
    cells = maps.shape[0]
    refined = shares.copy()
    # What lies outside was not looked at (or is not a number): nothing is known there.
    inside = np.flatnonzero(np.all((shares >= 0.0) & (shares < 1.0), axis=1))
    column, row = (shares[inside] * cells).astype(int).T
    reach = np.arange(-_REACH, _REACH + 1)
    columns = np.broadcast_to(column[:, None, None] + reach, (len(inside), len(reach), len(reach)))
    rows = np.broadcast_to(row[:, None, None] + reach[:, None], columns.shape)
    within = (columns >= 0) & (columns < cells) & (rows >= 0) & (rows < cells)
    logit = maps[rows.clip(0, cells - 1), columns.clip(0, cells - 1), inside[:, None, None]]
    likely = np.where(within, _logistic(logit.astype(float)), 0.0)
    moved = likely.max(axis=(1, 2), initial=0.0) >= _LEAST_LIKELY
    total = np.where(moved, likely.sum(axis=(1, 2)), 1.0)
    middle = np.stack([(likely * at).sum(axis=(1, 2)) / total for at in (columns, rows)], axis=1)
    refined[inside[moved]] = middle[moved] / cells
    return refined


def _logistic(logit: FloatArray) -> FloatArray:
    chance: FloatArray = 1.0 / (1.0 + np.exp(-np.clip(logit, -100.0, 100.0)))
    return chance
