"""From a line in a picture to a curve in the units of its axes, with how sure each value is."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from analysis.reading_pictures.flattening import (
    Flat,
    PictureError,
    Points,
    homographies,
    projected,
)
from analysis.reading_pictures.line import FollowedLine
from analysis.reading_pictures.scales import Ticks, check_ticks, scaled

BAND: Final = 1.959964  # standard deviations to each side that hold 95 %
_DRAWS: Final = 160
_SEED: Final = 17  # the same picture and clicks give the same band


@dataclass(frozen=True)
class HandErrors:
    """How far off a hand is, standard deviations along each axis, pixels of the picture.

    Attributes
    ----------
    corner_px : 0 where there was nothing to lay flat
    """

    tick_px: float = 1.0
    corner_px: float = 1.5


@dataclass(frozen=True, eq=False)
class Reading:
    """A curve as read, from left to right, in the axes' own units.

    Attributes
    ----------
    along, values, sd : (n,) values and their standard deviation are NaN in gaps
    """

    along: Points
    values: Points
    sd: Points

    @property
    def band(self) -> tuple[Points, Points]:
        """Between what and what each value lies, with 95 %."""
        return self.values - BAND * self.sd, self.values + BAND * self.sd


def read_line(
    line: FollowedLine,
    flat: Flat,
    along: Ticks,
    upright: Ticks,
    errors: HandErrors | None = None,
) -> Reading:
    """Read a followed line by the ticks of its axes.

    What the hand may be off, at ticks and corners, is drawn many times, and the reading repeated:
    an error along the lower axis so counts most where the curve is steep.

    Raises
    ------
    PictureError
        The ticks give no scale.
    """
    errors = errors or HandErrors()
    ticks = np.array([*along.places, *upright.places], dtype=np.float64).reshape(-1, 2)
    there = flat.to_flat(ticks) if len(ticks) else ticks
    check_ticks(along, "lower", there[: len(along.places), 0])
    check_ticks(upright, "upright", there[len(along.places) :, 1])
    known = np.isfinite(line.y)
    on_flat = np.column_stack([line.x[known], line.y[known]])
    x, y = _values(on_flat, there, along, upright)
    if len(x) > 1 and x[-1] < x[0]:
        raise PictureError(
            "The values of the lower axis run from right to left; check which tick has which value."
        )
    drawn = _drawn(flat.to_picture(on_flat), ticks, flat, along, upright, errors)
    again = np.array([np.interp(x, xs, ys) for xs, ys in zip(*drawn, strict=True)])
    per_px = abs(_upright_step(upright, there[len(along.places) :, 1]))
    sd = np.hypot(again.std(axis=0), line.sd[known] * per_px)
    return _with_gaps(line, known, x, y, sd)


def _values(points: Points, ticks: Points, along: Ticks, upright: Ticks) -> tuple[Points, Points]:
    """The axes' values of points (..., n, 2) by ticks (..., k, 2), both in the flat picture."""
    k = len(along.places)
    x = scaled(points[..., 0], ticks[..., :k, 0], along.values, 1.0)
    y = scaled(points[..., 1], ticks[..., k:, 1], upright.values, -1.0)
    return x, y


def _drawn(
    points: Points, ticks: Points, flat: Flat, along: Ticks, upright: Ticks, errors: HandErrors
) -> tuple[Points, Points]:
    """The line as it would have been read with other errors of the hand: two (draws, n)."""
    rng = np.random.default_rng(_SEED)
    corners = flat.corners + errors.corner_px * rng.standard_normal((_DRAWS, 4, 2))
    clicks = ticks + errors.tick_px * rng.standard_normal((_DRAWS, *ticks.shape))
    matrices = homographies(corners, flat.width, flat.height)
    return _values(projected(matrices, points), projected(matrices, clicks), along, upright)


def _upright_step(upright: Ticks, places: Points) -> float:
    if len(places) < 2:
        return -1.0
    return float((upright.values[1] - upright.values[0]) / (places[1] - places[0]))


def _with_gaps(line: FollowedLine, known: Points, x: Points, y: Points, sd: Points) -> Reading:
    """Put the columns in which nothing was seen back in, as unknown."""
    along = np.interp(line.x, line.x[known.astype(bool)], x)
    values, spread = np.full(len(line.x), np.nan), np.full(len(line.x), np.nan)
    values[known.astype(bool)], spread[known.astype(bool)] = y, sd
    return Reading(along, values, spread)
