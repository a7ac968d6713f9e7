"""What the pixels of a plot mean: two ticks on each axis, and the values written beside them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal

import numpy as np

from analysis.reading_pictures.flattening import PictureError, Points

AlongUnit = Literal["s", "ms", "% of drive", "m", "% of length", ""]
ForceUnit = Literal["N", "kN", "kgf", "lbf", ""]
IN_NEWTONS: Final[dict[str, float]] = {
    "N": 1.0,
    "kN": 1000.0,
    "kgf": 9.80665,
    "lbf": 4.4482216152605,
    "": 1.0,
}
_LEAST_APART_PX: Final = 8.0


@dataclass(frozen=True)
class Ticks:
    """Where two values of an axis stand.

    Attributes
    ----------
    places : (x, y) pixels of the picture: two of them; one, where only the zero line is known;
        none, where nothing is known and the ends of the line are the ends of the axis
    values : of the places, in the axis's own unit
    """

    places: tuple[tuple[float, float], ...] = ()
    values: tuple[float, ...] = ()


def check_ticks(ticks: Ticks, axis: str, flat_places: Points) -> None:
    """Refuse ticks that give no scale.

    Parameters
    ----------
    axis : "lower" or "upright"
    flat_places : (n,) along the axis, pixels of the flat picture

    Raises
    ------
    PictureError
        One sentence says what to do about it.
    """
    if len(ticks.places) != len(ticks.values) or len(ticks.places) > 2:
        raise PictureError(f"The {axis} axis needs a value for each of its two ticks.")
    if not np.all(np.isfinite(ticks.values)):
        raise PictureError(f"A value of the {axis} axis is no number; type it again.")
    if len(ticks.places) < 2:
        return
    if abs(flat_places[1] - flat_places[0]) < _LEAST_APART_PX:
        raise PictureError(
            f"The two ticks of the {axis} axis are too close together; click two that are far"
            " apart."
        )
    if ticks.values[0] == ticks.values[1]:
        raise PictureError(f"The two ticks of the {axis} axis have the same value; type both.")


def scaled(places: Points, ticks: Points, values: tuple[float, ...], sign: float) -> Points:
    """Values of pixels along an axis, linear between the ticks.

    Parameters
    ----------
    places : (..., n) pixels
    ticks : (..., k) pixels of the k = 0, 1 or 2 ticks
    sign : the axis's direction where one tick or none says it: 1 with the pixels, -1 against them
    """
    first = values[0] if values else 0.0
    per_px: Points | float = sign
    if len(values) == 2:
        per_px = (values[1] - values[0]) / (ticks[..., 1:2] - ticks[..., 0:1])
    origin = ticks[..., 0:1] if values else 0.0
    result: Points = first + (places - origin) * per_px
    return result
