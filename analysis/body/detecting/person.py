"""Where people are in a picture: a network that sees faces, hips and the size of the body.

It looks at fixed places (anchors) of a 224 x 224 picture and says for each how likely a face is
there, its box, and four further points, of which the first is between the hips and the second on
the circle about them that holds the body (after Bazarevsky et al., BlazePose, 2020,
arXiv:2006.10204; sizes and strides are the published model's own).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from analysis.body.detecting.network import Network
from analysis.body.detecting.region import Image, Region, checked, cut_out, region_around, whole
from analysis.signals.signal import FloatArray

SIDE_PX: Final = 224
# Cells of that many pixels, each looked at that many times.
_GRIDS: Final = ((8, 2), (16, 2), (32, 6))
ANCHORS: Final = sum((SIDE_PX // cell) ** 2 * times for cell, times in _GRIDS)
OUTPUTS: Final = ((1, ANCHORS, 12), (1, ANCHORS, 1))

LEAST_SCORE: Final = 0.5
# Boxes that share more than this are of one person.
SAME_PERSON: Final = 0.3


@dataclass(frozen=True)
class Person:
    """Somebody in a picture.

    Attributes
    ----------
    region : where to look for the body's points
    head_px, hip_px : about where these are, pixels
    score : 0 to 1, how sure it is that somebody is there
    """

    region: Region
    head_px: tuple[float, float]
    hip_px: tuple[float, float]
    score: float


def anchors() -> FloatArray:
    """Give the centres (ANCHORS, 2) of the places looked at, in shares of the picture's side."""
    places = []
    for cell, times in _GRIDS:
        count = SIDE_PX // cell
        middle = (np.arange(count) + 0.5) / count
        across, down = np.meshgrid(middle, middle)
        grid = np.stack((across.ravel(), down.ravel()), axis=1)
        places.append(np.repeat(grid, times, axis=0))
    return np.concatenate(places)


class PersonDetector:
    """Finds the people in a picture; the surest comes first."""

    def __init__(self, network: Network) -> None:
        self._network = network
        self._anchors = anchors()

    def people(self, image: Image) -> list[Person]:
        """Find them in (height, width, 3) red green blue bytes."""
        square = whole(checked(image))
        seen = cut_out(image, square, SIDE_PX, beyond=0) / 127.5 - 1.0
        raw, logits = self._network.run(seen.astype(np.float32))
        boxes, scores = decoded(raw[0], logits[0, :, 0], self._anchors)
        found = []
        for box, score in one_each(boxes, scores):
            points = square.to_picture(box.reshape(-1, 2)[[0, 2, 3]])
            region = region_around(points[1], points[2])
            if region is not None:
                head, hip = ((float(x), float(y)) for x, y in points[:2])
                found.append(Person(region, head, hip, score))
        return found


def decoded(
    raw: NDArray[np.float32], logits: NDArray[np.float32], places: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """Give boxes (N, 12) and scores (N,) of the places where somebody is likely.

    A row is the face's centre, its width and height, then four points, in shares of the side.
    """
    scores = 1.0 / (1.0 + np.exp(-np.clip(logits.astype(float), -100.0, 100.0)))
    likely = (scores >= LEAST_SCORE) & np.isfinite(raw).all(axis=1)
    boxes = raw[likely].astype(float) / SIDE_PX
    offset = np.tile(places[likely], 6)
    offset[:, 2:4] = 0.0  # the size does not depend on the place
    return boxes + offset, scores[likely]


def one_each(boxes: FloatArray, scores: FloatArray) -> list[tuple[FloatArray, float]]:
    """Join the boxes that are of one face to their mean by score; the surest person first."""
    left = np.argsort(-scores, kind="stable")
    found = []
    while len(left):
        best = left[0]
        same = shared(boxes[best], boxes[left]) > SAME_PERSON
        same[0] = True
        together = left[same]
        mean = np.average(boxes[together], axis=0, weights=scores[together])
        found.append((mean, float(scores[best])))
        left = left[~same]
    return found


def shared(box: FloatArray, others: FloatArray) -> FloatArray:
    """Give the area each of `others` (N, 12) has in common with a box, as a share of both."""
    low = np.maximum(box[:2] - 0.5 * box[2:4], others[:, :2] - 0.5 * others[:, 2:4])
    high = np.minimum(box[:2] + 0.5 * box[2:4], others[:, :2] + 0.5 * others[:, 2:4])
    common = np.prod(np.clip(high - low, 0.0, None), axis=1)
    both = np.prod(box[2:4]) + np.prod(others[:, 2:4], axis=1) - common
    share: FloatArray = np.where(both > 0.0, common / np.where(both > 0.0, both, 1.0), 0.0)
    return share
