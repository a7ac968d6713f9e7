"""Letters as outlines, so that words can be painted where there is no display."""

from __future__ import annotations

import warnings
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray


@lru_cache(maxsize=256)
def outlines(text: str, bold: bool = True) -> tuple[NDArray[np.float64], ...]:
    """Outlines of letters of size 1, baseline at 0, upwards; beginning at 0."""
    from matplotlib.font_manager import FontProperties
    from matplotlib.textpath import TextPath

    font = FontProperties(family="DejaVu Sans", weight="bold" if bold else "normal")
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # a sign the font lacks is drawn as its empty box
        # A dollar sign would begin a formula.
        path = TextPath((0, 0), text.replace("$", r"\$"), 100.0, prop=font)
        polygons = path.to_polygons(closed_only=True)
    return tuple(np.asarray(p, float) / 100.0 for p in polygons)


def width_of(text: str, bold: bool = True) -> float:
    """How far words reach, in sizes of their letters."""
    return max((float(o[:, 0].max()) for o in outlines(text, bold)), default=0.0)
