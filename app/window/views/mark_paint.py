"""Marks of the picture on the screen: as the scene describes them, at one size at every zoom."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from typing import Final

from PySide6.QtCore import QPointF
from PySide6.QtGui import QFont, QPainter, QTransform

from app.review.mark_shapes import distance_to
from app.review.parts.marks import CASING, Mark, Point
from app.scene.picture_marks import (
    PALETTE,
    MarkLook,
    MarkView,
    cased,
    mark_shapes_of,
    plate_of,
    seen,
)
from app.scene.shapes import Circle
from app.window.views.scene_paint import measure_in, paint

LOOK: Final = MarkLook(
    line=3.0, casing=6.0, head=18.0, text=17.0, gap=10.0, pad=6.0, high=24.0, edge=1.5, corner=4.0,
    opacity=0.894,
)  # fmt: skip
HANDLE_PX = 6.0


def scale_of(place: QTransform) -> float:
    """Widget pixels a video pixel."""
    return max(math.sqrt(abs(place.determinant())), 1e-9)


def paint_mark(
    painter: QPainter, mark: Mark, metres_per_px: float | None, place: QTransform
) -> None:
    """Paint a mark.

    Parameters
    ----------
    place : from video pixels to widget pixels
    """
    measure = measure_in(painter.font())
    paint(painter, mark_shapes_of(mark, metres_per_px, _view(place), LOOK, measure), PALETTE)


def is_at(
    mark: Mark, metres_per_px: float | None, place: QTransform, font: QFont, at: QPointF,
    reach_px: float,
) -> bool:  # fmt: skip
    """Whether a widget pixel lies on a mark's words, or so near to one of its lines."""
    view = _view(place)
    outline = seen(mark, metres_per_px, view, LOOK)
    runs = [[view.place(point) for point in run] for run in outline.runs]
    if distance_to((at.x(), at.y()), runs) <= reach_px:
        return True
    plate = plate_of(outline, view, LOOK, measure_in(font))
    return plate is not None and plate.holds((at.x(), at.y()))


def paint_handles(painter: QPainter, places: Iterable[QPointF], to_hold: bool) -> None:
    """Paint where a mark is taken hold of: smaller while that is not what the hand does."""
    size = HANDLE_PX if to_hold else 0.55 * HANDLE_PX
    knobs = [Circle(at.x(), at.y(), size, "#ffffff", CASING, 2.0) for at in places]
    paint(painter, knobs, PALETTE)


def paint_runs(
    painter: QPainter, runs: Sequence[Sequence[Point]], colour: str, line_px: float
) -> None:
    """Paint lines in one of the colours on their casing."""
    lines = [tuple((float(x), float(y)) for x, y in run) for run in runs]
    paint(painter, cased(lines, colour, line_px, line_px + 3.0), PALETTE)


def _view(place: QTransform) -> MarkView:
    def placed(point: Point) -> Point:
        at = place.map(QPointF(*point))
        return at.x(), at.y()

    return MarkView(placed, scale_of(place), place.determinant() < 0)
