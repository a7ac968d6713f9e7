"""Marks painted on the screen: their shape from the review, a dark casing under a bright line."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QFont, QPainter, QPainterPath, QPen, QTransform

from app.review.mark_shapes import Shape, shape_of
from app.review.parts.marks import CASING, MARK_COLOURS, Mark, Point

LINE_PX = 3.0  # on screen, at every zoom
CASING_PX = 3.0  # what the casing adds to a line
HEAD_PX = 18.0
TEXT_PX = 17
GAP_PX = 10.0  # from a mark to its words
HANDLE_PX = 6.0


def screen_shape(mark: Mark, metres_per_px: float | None, place: QTransform) -> Shape:
    """Shape of a mark for a picture shown so; heads and arcs keep their size on screen."""
    return shape_of(mark, metres_per_px, HEAD_PX / scale_of(place))


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
    shape = screen_shape(mark, metres_per_px, place)
    paint_runs(painter, shape.runs, mark.colour, place)
    if shape.label:
        font = label_font(painter.font())
        paint_plate(painter, label_rect(font, shape, place), shape.label, mark.colour, font)


def paint_handles(painter: QPainter, places: Iterable[QPointF], to_hold: bool) -> None:
    """Paint where a mark is taken hold of: smaller while that is not what the hand does."""
    painter.setPen(QPen(QColor(CASING), 2))
    painter.setBrush(QColor("#ffffff"))
    size = HANDLE_PX if to_hold else 0.55 * HANDLE_PX
    for place in places:
        painter.drawEllipse(place, size, size)
    painter.setBrush(Qt.BrushStyle.NoBrush)


def paint_runs(
    painter: QPainter,
    runs: Sequence[Sequence[Point]],
    colour: str,
    place: QTransform,
    line_px: float = LINE_PX,
) -> None:
    """Paint lines in one of the colours on their casing."""
    path = QPainterPath()
    for run in runs:
        path.moveTo(place.map(QPointF(*run[0])))
        for point in run[1:]:
            path.lineTo(place.map(QPointF(*point)))
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    for ink, width in ((CASING, line_px + CASING_PX), (MARK_COLOURS[colour], line_px)):
        painter.setPen(
            QPen(
                QColor(ink), width, Qt.PenStyle.SolidLine, Qt.PenCapStyle.RoundCap,
                Qt.PenJoinStyle.RoundJoin,
            )
        )  # fmt: skip
        painter.drawPath(path)


def label_font(font: QFont, size_px: int = TEXT_PX) -> QFont:
    """The font of words beside a mark."""
    font = QFont(font)
    font.setPixelSize(size_px)
    font.setBold(True)
    return font


def label_rect(font: QFont, shape: Shape, place: QTransform) -> QRectF:
    """Where the plate of a mark's words lies, in widget pixels."""
    from PySide6.QtGui import QFontMetricsF

    metrics = QFontMetricsF(label_font(font))
    size = metrics.size(0, shape.label)
    width, height = size.width() + 12, size.height() + 4
    at, away = place.map(QPointF(*shape.label_at)), place.map(QPointF(*shape.label_from))
    lean = at - away
    length = math.hypot(lean.x(), lean.y())
    if length < 1e-6 and shape.runs:  # on the middle of its line
        return QRectF(at.x() - width / 2, at.y() - height / 2, width, height)
    if length < 1e-6:  # words of their own begin where they were put, beside the point
        mirrored = place.determinant() < 0  # then they end there, clear of the picture's edge
        left = at.x() - GAP_PX - width if mirrored else at.x() + GAP_PX
        return QRectF(left, at.y() - height / 2, width, height)
    reach = GAP_PX + 0.5 * (abs(lean.x()) * width + abs(lean.y()) * height) / length
    middle = at + lean * (reach / length)
    return QRectF(middle.x() - width / 2, middle.y() - height / 2, width, height)


def paint_plate(painter: QPainter, plate: QRectF, text: str, colour: str, font: QFont) -> None:
    """Paint words on a dark plate with an edge in the mark's colour."""
    painter.save()
    painter.setFont(font)
    ground = QColor(CASING)
    ground.setAlpha(228)
    painter.setPen(QPen(QColor(MARK_COLOURS[colour]), 1.5))
    painter.setBrush(ground)
    painter.drawRoundedRect(plate, 4, 4)
    painter.setPen(QColor("#ffffff"))
    # As the words themselves run.
    painter.setLayoutDirection(Qt.LayoutDirection.LayoutDirectionAuto)
    painter.drawText(plate, Qt.AlignmentFlag.AlignCenter, text)
    painter.restore()
