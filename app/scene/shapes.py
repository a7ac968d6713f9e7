"""The shapes everything drawn is made of, in points or pixels, in the order they are painted.

An ink is a role ("own", "target") that the painter's palette turns into a colour, so that one
description serves the dark bench, white paper and a page whose style sheet decides.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

Point = tuple[float, float]
Anchor = Literal["start", "middle", "end"]
Palette = Mapping[str, str]  # role -> #RRGGBB
# How wide words are: text, size of its letters, bold.
Measure = Callable[[str, float, bool], float]


@dataclass(frozen=True)
class Line:
    """A line through points.

    Attributes
    ----------
    dash : on and off, in the same unit as the points; () for a whole line
    opacity : 0 to 1
    """

    points: tuple[Point, ...]
    ink: str
    width: float
    dash: tuple[float, ...] = ()
    opacity: float = 1.0


@dataclass(frozen=True)
class Area:
    """A filled shape."""

    points: tuple[Point, ...]
    ink: str
    opacity: float = 1.0


@dataclass(frozen=True)
class Circle:
    """A filled circle with a rim, which lies half outside; no rim where it has no width."""

    x: float
    y: float
    radius: float
    ink: str
    rim: str = ""
    rim_width: float = 0.0


@dataclass(frozen=True)
class Rect:
    """A filled rectangle, its corners rounded; an edge where it has a width."""

    x: float
    y: float
    width: float
    height: float
    ink: str
    opacity: float = 1.0
    radius: float = 0.0
    edge: str = ""
    edge_width: float = 0.0

    @property
    def right(self) -> float:
        """Its right end."""
        return self.x + self.width

    @property
    def bottom(self) -> float:
        """Its lower end."""
        return self.y + self.height

    def holds(self, point: Point) -> bool:
        """Whether a place lies in it."""
        return self.x <= point[0] <= self.right and self.y <= point[1] <= self.bottom


@dataclass(frozen=True)
class Text:
    """Words on their baseline; a halo keeps them apart from what lies under them."""

    x: float
    y: float
    text: str
    size: float
    ink: str
    anchor: Anchor = "start"
    bold: bool = False
    halo: str = ""
    halo_width: float = 0.0  # of the whole stroke: half of it is seen beside the letters


@dataclass(frozen=True)
class Picture:
    """A frame with rounded corners, on a rim of `rim` points in the colour `edge`."""

    x: float
    y: float
    width: float
    height: float
    image: NDArray[np.uint8]
    edge: str
    rim: float


@dataclass(frozen=True)
class Group:
    """Shapes that belong together; a painter of pages may name them for the style sheet."""

    shapes: tuple[Shape, ...]
    name: str = ""


Shape = Line | Area | Circle | Rect | Text | Picture | Group


@dataclass(frozen=True)
class Drawing:
    """A picture of shapes alone, with its size."""

    width: float
    height: float
    shapes: tuple[Shape, ...]
