"""A freehand line as something to take hold of: places to grip it by, and what pulling one does.

All places and lengths are pixels as the line is seen, so that one pull bends it alike everywhere.
"""

from __future__ import annotations

import bisect
import itertools
import math
from collections.abc import Sequence
from typing import Final

from app.review.mark_shapes import thinned
from app.review.parts.marks import Point

GRIP_EVERY_PX: Final = 70.0  # along the line
_MOST_PIECES: Final = 8
_STEP_PX: Final = 4.0  # between two points of a line that is being bent
_THIN_PX: Final = 0.5
_NO_LENGTH_PX: Final = 1e-9  # below it a line is a point


def grips(points: Sequence[Point]) -> tuple[Point, ...]:
    """Places to take hold of a line: its two ends, and at least one evenly between them."""
    along = _along(points)
    pieces = _pieces(along[-1])
    return tuple(_at(points, along, along[-1] * i / pieces) for i in range(pieces + 1))


def bent(points: Sequence[Point], grip: int, dx: float, dy: float) -> tuple[Point, ...]:
    """Pull a line by one of its grips.

    An end takes the whole line along, less and less towards the other end, which stays: a straight
    line stays straight. A grip between bends the line as far as its neighbours, with no corner.

    Parameters
    ----------
    grip : which of `grips(points)`
    dx, dy : how far the hand went
    """
    along = _along(points)
    length, pieces = along[-1], _pieces(along[-1])
    if length < _NO_LENGTH_PX:
        return tuple((x + dx, y + dy) for x, y in points)
    steps = min(math.ceil(length / _STEP_PX), 2000)
    # The line's own points stay among the new ones, so that its corners stay.
    evenly = (length * i / steps for i in range(steps + 1))
    stops = sorted({*along, *evenly, length * grip / pieces})
    pulled = []
    for stop in stops:
        x, y = _at(points, along, stop)
        share = _share(stop / length, grip, pieces)
        pulled.append((x + share * dx, y + share * dy))
    return thinned(pulled, _THIN_PX)


def _share(at: float, grip: int, pieces: int) -> float:
    """How much of a pull reaches a place of the line, both 0 to 1."""
    if grip == 0:
        return 1.0 - at
    if grip == pieces:
        return at
    away = abs(at * pieces - grip)
    return 0.5 + 0.5 * math.cos(math.pi * away) if away < 1.0 else 0.0


def _pieces(length: float) -> int:
    return min(max(round(length / GRIP_EVERY_PX), 2), _MOST_PIECES)


def _along(points: Sequence[Point]) -> list[float]:
    """How far along the line each of its points lies."""
    lengths = (math.dist(a, b) for a, b in itertools.pairwise(points))
    return list(itertools.accumulate(lengths, initial=0.0))


def _at(points: Sequence[Point], along: Sequence[float], stop: float) -> Point:
    """The place so far along the line."""
    i = min(bisect.bisect_left(along, stop), len(points) - 1)
    if i == 0:
        return points[0]
    share = (stop - along[i - 1]) / max(along[i] - along[i - 1], 1e-12)
    (ax, ay), (bx, by) = points[i - 1], points[i]
    return ax + share * (bx - ax), ay + share * (by - ay)
