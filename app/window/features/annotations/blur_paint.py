"""Blurred regions painted on the screen: a ring that says how sure it is."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPainterPath, QPen, QTransform

from app.review.parts.blur import BlurKey, BlurRegion, region_at
from app.review.parts.marks import CASING
from app.window.views.mark_paint import paint_handles
from app.window.widgets import theme

RING_PX = 2.5
FOLLOWED, LOST, WIDENED = "blurred", "▲ blurred, face lost", "▲ blurred, not followed yet"


def paint_blur_region(
    painter: QPainter, region: BlurRegion, video_s: float, place: QTransform, chosen: bool
) -> None:
    """Paint the ring of a region at a moment, with a word on how it got there.

    Parameters
    ----------
    place : from video pixels to widget pixels
    chosen : show the handle it is made larger with
    """
    key = region_at(region, video_s)
    if key is None:
        return
    word = standing(region, key)
    colour = QColor(theme.DARK.text if word == FOLLOWED else theme.DARK.playhead)
    ring = place.map(ring_path(key))
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setBrush(QColor(20, 24, 26, 70))
    painter.setPen(QPen(QColor(CASING), RING_PX + 3.0))
    painter.drawPath(ring)
    style = Qt.PenStyle.SolidLine if word == FOLLOWED else Qt.PenStyle.DashLine
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.setPen(QPen(colour, RING_PX, style))
    painter.drawPath(ring)
    if chosen:
        paint_handles(painter, [place.map(handle_of(key))], to_hold=True)
    _plate(painter, ring.boundingRect(), word, colour)


def standing(region: BlurRegion, key: BlurKey) -> str:
    """How the region got to where it is at a moment."""
    if any(a - 1e-6 <= key.video_s < b for a, b in region.unsure):
        return LOST
    near = min(region.keyframes, key=lambda k: abs(k.video_s - key.video_s))
    return FOLLOWED if key.w_px <= max(k.w_px for k in _around(region, key, near)) else WIDENED


def _around(region: BlurRegion, key: BlurKey, near: BlurKey) -> list[BlurKey]:
    """Places the region may take its size from without having grown by itself."""
    at = region.keyframes.index(near)
    return list(region.keyframes[max(at - 1, 0) : at + 2])


def ring_path(key: BlurKey) -> QPainterPath:
    """The ellipse in video pixels."""
    path = QPainterPath()
    path.addEllipse(QPointF(key.x_px, key.y_px), 0.5 * key.w_px, 0.5 * key.h_px)
    return path


def handle_of(key: BlurKey) -> QPointF:
    """Where the ring is taken hold of to make it larger: its lower right, on the ellipse."""
    return QPointF(key.x_px + 0.3536 * key.w_px, key.y_px + 0.3536 * key.h_px)


def _plate(painter: QPainter, ring: QRectF, word: str, colour: QColor) -> None:
    size = painter.fontMetrics().size(0, word)
    wide, high = size.width() + 10.0, size.height() + 2.0
    view = QRectF(painter.viewport())
    left = min(max(ring.center().x() - 0.5 * wide, 2.0), max(view.width() - wide - 2.0, 2.0))
    top = min(max(ring.top() - high - 4.0, 2.0), max(view.height() - high - 2.0, 2.0))
    plate = QRectF(left, top, wide, high)
    ground = QColor(CASING)
    ground.setAlpha(215)
    painter.fillRect(plate, ground)
    painter.setPen(colour)
    painter.drawText(plate, Qt.AlignmentFlag.AlignCenter, word)
