"""What a target curve is taken hold of by, as shapes."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from analysis.force.target import Handle
from app.scene.shapes import Circle, Point, Rect, Shape

KNOB: Final = 6.0
_BAR: Final = (22.0, 8.0)
_RIM: Final = 2.0


def handle_shapes(places: Mapping[Handle, Point], lit: Handle | None = None) -> list[Shape]:
    """Give a ring for each handle; the level is a bar, for it goes up and down.

    Parameters
    ----------
    lit : the one under the pointer
    """
    shapes: list[Shape] = []
    for name, (x, y) in places.items():
        ink = "target" if name == lit else "ground"
        if name == "level":
            wide, high = _BAR
            left, top = x - wide / 2, y - high / 2
            shapes.append(Rect(left, top, wide, high, ink, 1.0, high / 2, "target", _RIM))
        else:
            shapes.append(Circle(x, y, KNOB, ink, "target", _RIM))
    return shapes
