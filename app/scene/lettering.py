"""Letters as outlines, so that words can be painted where there is no display."""

from __future__ import annotations

import warnings
from functools import lru_cache
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from app.scene.signs import drawable, families_for

if TYPE_CHECKING:
    from matplotlib.textpath import TextPath


_SIZE = 100.0  # of the letters as the library lays them out
_POINTS = {"M": 1, "L": 1, "Q": 2, "C": 3, "Z": 0}  # of each piece of an outline, in SVG


@lru_cache(maxsize=256)
def outlines(text: str, bold: bool = True) -> tuple[NDArray[np.float64], ...]:
    """Outlines of letters of size 1, baseline at 0, upwards; beginning at 0.

    Matplotlib lays the letters out with libraqm: right to left, and joined, where they are.
    """
    path = _laid_out(text, bold)
    if path is None:
        return ()
    return tuple(np.asarray(p, float) / _SIZE for p in path.to_polygons(closed_only=True))


def path_data(text: str, bold: bool, size: float, x: float, y: float) -> str:
    """SVG path data of letters of a size, from a place on their baseline; "" for no letters."""
    letters, places = _segments(text, bold)
    there = places * (size / _SIZE) * (1.0, -1.0) + (x, y)
    said = [f"{v:.2f}" for v in there.ravel().tolist()]
    parts, at = [], 0
    for letter in letters:
        until = at + 2 * _POINTS[letter]
        parts.append(letter + " ".join(said[at:until]))
        at = until
    return "".join(parts)


@lru_cache(maxsize=256)
def _segments(text: str, bold: bool) -> tuple[str, NDArray[np.float64]]:
    """The letter of each piece of an outline, and the places of all of them, upwards: (n, 2)."""
    path = _laid_out(text, bold)
    letters, places = [], [np.empty((0, 2))]
    for points, code in path.iter_segments(simplify=False) if path is not None else ():
        letters.append({1: "M", 2: "L", 3: "Q", 4: "C", 79: "Z"}[int(code)])
        if letters[-1] != "Z":
            places.append(np.reshape(points, (-1, 2)))
    return "".join(letters), np.concatenate(places)


@lru_cache(maxsize=256)
def _laid_out(text: str, bold: bool) -> TextPath | None:
    from matplotlib.font_manager import FontProperties
    from matplotlib.textpath import TextPath

    text = drawable(text)
    if not text.strip():  # the library cannot lay out nothing
        return None
    weight = "bold" if bold else "normal"
    font = FontProperties(family=list(families_for(text)), weight=weight)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # a letter no font has is drawn as a box
        # A dollar sign would begin a formula.
        return TextPath((0, 0), text.replace("$", r"\$"), _SIZE, prop=font)


def width_of(text: str, bold: bool = True) -> float:
    """How far words reach, in sizes of their letters."""
    return max((float(o[:, 0].max()) for o in outlines(text, bold)), default=0.0)
