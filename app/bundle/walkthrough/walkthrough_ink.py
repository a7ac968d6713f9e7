"""What the panels under a walkthrough's picture have in common: inks, room, the cursor."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

import numpy as np
from numpy.typing import NDArray

from app.media.planes import Planes, from_rgb
from app.scene import raster
from app.scene.colours import DARK
from app.scene.plot import Entry, Letters, Plot, Scale, key, level_lines, level_words, levels
from app.scene.shapes import Palette, Shape

Image = NDArray[np.uint8]
Ink = tuple[int, int, int]

GROUND: Final[Ink] = (20, 24, 26)
CURSOR: Final[Ink] = (230, 159, 0)
PANEL: Final[Palette] = {**DARK, "rule": "#46535A"}


class PanelRoom:
    """Where things stand in a panel.

    Parameters
    ----------
    width, height : of the panel, pixels
    along : what the axis spans: seconds, or percent of the drive
    most_n : the force at the upper end, or what else is drawn
    entries : what its key names
    least : at the lower end
    unit : of both
    """

    def __init__(
        self, width: int, height: int, along: tuple[float, float], most_n: float,
        entries: Sequence[Entry], least: float = 0.0, unit: str = "N",
    ) -> None:  # fmt: skip
        self.unit = unit
        self.size = size = max(9.0, height * 0.1)
        self.line = max(1.5, height / 110)  # how bold the pens are
        self.letters = Letters(size, raster.measure)
        margin, room = 0.02 * width, self.letters.wide(f"{most_n:.3g} {unit}") + 0.6 * size
        left, right, bottom = margin + room, width - margin, height - 1.9 * size
        self.named, end = key(
            entries, left, right, 1.5 * size, self.letters, self.line, words_ink="ink"
        )
        top = end + 0.7 * size
        x, y = Scale(((along[0], left), (along[1], right))), Scale(((least, bottom), (most_n, top)))
        self.plot = Plot(left, top, right, bottom, x, y)

    def scale(self) -> list[Shape]:
        """Level lines with their newtons."""
        values = levels(self.plot.y.knots[0][0], self.plot.y.knots[-1][0])
        said = {value: f"{value:g} {self.unit}" for value in values}
        lines = level_lines(self.plot, values)
        return [*lines, *level_words(self.plot, said, self.letters, 0.4 * self.size)]


def painted(width: int, height: int, shapes: Sequence[Shape]) -> Image:
    """A panel with shapes on its dark ground: (h, w, 3) RGB."""
    image = np.full((height, width, 3), GROUND, np.uint8)
    raster.paint(image, shapes, PANEL)
    return image


def draw_cursor(still: Planes, plot: Plot, x: int, ink: Ink, matrix: int) -> Planes:
    """A panel with its cursor in a column."""
    planes = Planes(*(plane.copy() for plane in still.each()))
    wide = max(2, round(still.width / 640) * 2)
    top, bottom = int(plot.top) // 2 * 2, int(plot.bottom) // 2 * 2
    left = max(0, x - wide // 2) // 2 * 2
    colour = from_rgb(np.full((2, 2, 3), ink, np.uint8), matrix)
    for plane, one, step in zip(planes.each(), colour.each(), (1, 2, 2), strict=True):
        plane[top // step : bottom // step, left // step : (left + wide) // step] = one[0, 0]
    return planes
