"""Letters as outlines, so that words can be painted where there is no display."""

from __future__ import annotations

import warnings
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from app.scene.signs import drawable, families_for


@lru_cache(maxsize=256)
def outlines(text: str, bold: bool = True) -> tuple[NDArray[np.float64], ...]:
    """Outlines of letters of size 1, baseline at 0, upwards; beginning at 0.

    Matplotlib lays the letters out with libraqm: right to left, and joined, where they are.
    """
    from matplotlib.font_manager import FontProperties
    from matplotlib.textpath import TextPath

    text = drawable(text)
    if not text.strip():  # the library cannot lay out nothing
        return ()
    weight = "bold" if bold else "normal"
    font = FontProperties(family=list(families_for(text)), weight=weight)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # a letter no font has is drawn as a box
        # A dollar sign would begin a formula.
        path = TextPath((0, 0), text.replace("$", r"\$"), 100.0, prop=font)
        polygons = path.to_polygons(closed_only=True)
    return tuple(np.asarray(p, float) / 100.0 for p in polygons)


def width_of(text: str, bold: bool = True) -> float:
    """How far words reach, in sizes of their letters."""
    return max((float(o[:, 0].max()) for o in outlines(text, bold)), default=0.0)
