"""Marks on the force curve, painted on the screen: a line on its casing, a shaded stretch."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QFontMetricsF, QPainter, QPen, QTransform

from app.review.parts.curve_marks import CurveMark
from app.review.parts.marks import MARK_COLOURS
from app.window.views.mark_paint import label_font, paint_plate, paint_runs

Place = Callable[[float, float], QPointF]  # percent and newtons to widget pixels

LINE_PX = 2.5
TEXT_PX = 13
_SHADE = 64  # of 255
_HATCH = 130


def paint_curve_mark(painter: QPainter, mark: CurveMark, place: Place, area: QRectF) -> None:
    """Paint a mark.

    Parameters
    ----------
    place : where percent and newtons lie in the widget
    area : the plot's own rectangle, widget pixels
    """
    if mark.kind == "span":
        _paint_span(painter, mark, place, area)
    else:
        run = [(p.x(), p.y()) for p in (place(x, y) for x, y in mark.points)]
        paint_runs(painter, (run,), mark.colour, QTransform(), LINE_PX)


def _paint_span(painter: QPainter, mark: CurveMark, place: Place, area: QRectF) -> None:
    first, last = mark.span_pct
    left, right = place(first, 0.0).x(), place(last, 0.0).x()
    box = QRectF(left, area.top(), max(right - left, 2.0), area.height())
    shade = QColor(MARK_COLOURS[mark.colour])
    shade.setAlpha(_SHADE)
    painter.fillRect(box, shade)
    # Hatched too: a stretch of evidence is plain, so that they are not told apart by colour alone.
    shade.setAlpha(_HATCH)
    painter.save()
    painter.setPen(Qt.PenStyle.NoPen)
    painter.setBrush(shade)
    painter.setClipRect(box)
    painter.setPen(QPen(shade, 1))
    x = box.left() - box.height()
    while x < box.right():
        painter.drawLine(QPointF(x, box.bottom()), QPointF(x + box.height(), box.top()))
        x += 9.0
    painter.restore()
    painter.setPen(QPen(QColor(MARK_COLOURS[mark.colour]), 1.5))
    painter.drawLine(box.topLeft(), box.bottomLeft())
    painter.drawLine(box.topRight(), box.bottomRight())


def words_rect(metrics: QFontMetricsF, mark: CurveMark, place: Place, area: QRectF) -> QRectF:
    """Where the plate of a mark's words lies, within the plot; a stretch has them at its foot."""
    size = metrics.size(0, mark.text)
    width, height = size.width() + 10, size.height() + 4
    if mark.kind == "span":
        first, last = mark.span_pct
        middle, top = place(0.5 * (first + last), 0.0).x(), area.bottom() - height - 6
    else:
        end = place(*mark.points[-1])
        middle, top = end.x(), end.y() - height - 8
    left = min(max(middle - width / 2, area.left() + 2), area.right() - width - 2)
    top = min(max(top, area.top() + 2), area.bottom() - height - 2)
    return QRectF(left, top, width, height)


def paint_curve_words(painter: QPainter, mark: CurveMark, place: Place, area: QRectF) -> None:
    """Paint the words of a mark, after all the marks, so that no line runs through them."""
    if mark.text:
        font = label_font(painter.font(), TEXT_PX)
        plate = words_rect(QFontMetricsF(font), mark, place, area)
        paint_plate(painter, plate, mark.text, mark.colour, font)
