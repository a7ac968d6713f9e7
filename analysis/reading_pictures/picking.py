"""One line picked out of a picture, by a click on it or a stroke of the pen along it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from analysis.reading_pictures.flattening import Flat, Pixels, Points, flat_of, whole_picture
from analysis.reading_pictures.ink import Map, colour_at, ground_of, ink_map
from analysis.reading_pictures.line import FollowedLine, follow_from, follow_pen

_PEN_SPOTS: Final = 40  # of a stroke of the pen: where the line's colour is looked for


@dataclass(frozen=True, eq=False)
class LaidFlat:
    """A picture laid flat, with its ground: what every line in it is picked from."""

    flat: Flat
    pixels: Pixels
    ground: Map


@dataclass(frozen=True, eq=False)
class PickedLine:
    """A line, and the colour it has in the picture, RGB 0-255."""

    line: FollowedLine
    colour: tuple[int, int, int]


def lay_flat(pixels: Pixels, corners: Points | None) -> LaidFlat:
    """Lay a picture flat.

    Parameters
    ----------
    corners : (4, 2) pixels of the screen or sheet; None for a screen shot

    Raises
    ------
    PictureError
        The corners enclose nothing, or too little.
    """
    height, width = pixels.shape[:2]
    flat = flat_of(whole_picture(width, height) if corners is None else corners)
    laid = flat.picture(pixels)
    return LaidFlat(flat, laid, ground_of(laid))


def pick_line(laid: LaidFlat, places: Points) -> PickedLine:
    """Pick the line through a place, or along a stroke of the pen.

    Parameters
    ----------
    places : (n, 2) pixels of the picture: one is a click

    Raises
    ------
    PictureError
        There is no line; one sentence says what to do.
    """
    on_flat = laid.flat.to_flat(np.asarray(places, dtype=np.float64).reshape(-1, 2))
    step = max(len(on_flat) // _PEN_SPOTS, 1)
    differs = colour_at(laid.pixels, laid.ground, on_flat[::step])
    ink = ink_map(laid.pixels, laid.ground, differs)
    if len(on_flat) == 1:
        line = follow_from(ink, (float(on_flat[0, 0]), float(on_flat[0, 1])))
    else:
        line = follow_pen(ink, on_flat)
    return PickedLine(line, _colour_of(laid, differs))


def _colour_of(laid: LaidFlat, differs: Points) -> tuple[int, int, int]:
    usual = np.median(laid.ground.reshape(-1, 3)[::97], axis=0) + differs
    red, green, blue = (int(v) for v in np.clip(usual, 0, 255))
    return red, green, blue
