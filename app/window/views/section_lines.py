"""Where the sections of a piece begin, on the force trace, each with its name."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from itertools import pairwise
from typing import TYPE_CHECKING

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPen

from app.window.widgets import theme

if TYPE_CHECKING:
    from analysis.sections.section import Section

NAME_PAD_PX = 6.0
NAME_GAP_PX = 2.0


def are_named(sections: Sequence[Section]) -> bool:
    """Whether names stand over a piece; of one section nobody named there is nothing to tell."""
    return len(sections) > 1 or any(section.origin == "coach" for section in sections)


def paint_sections(
    painter: QPainter,
    sections: Sequence[Section],
    x_of: Callable[[float], float],
    area: QRectF,
) -> None:
    """Paint a line where each section begins, and its name as far as it has room.

    Nothing of a piece that is one section nobody named: there is nothing to tell apart.

    Parameters
    ----------
    x_of : widget pixels of a second on the clock of the strokes
    """
    if not are_named(sections):
        return
    metrics = painter.fontMetrics()
    edges = [*(x_of(section.start_s) for section in sections), x_of(sections[-1].end_s)]
    for section, (left, right) in zip(sections, pairwise(edges), strict=True):
        painter.setPen(QPen(QColor(theme.QUIET), 1, Qt.PenStyle.DashLine))
        painter.drawLine(QPointF(left, area.top()), QPointF(left, area.bottom()))
        begin = max(left, area.left()) + NAME_PAD_PX
        room = int(min(right, area.right()) - begin - NAME_PAD_PX)
        name = metrics.elidedText(section.name, Qt.TextElideMode.ElideRight, max(room, 0))
        if room > 3 * metrics.averageCharWidth():
            painter.setPen(QColor(theme.TEXT))
            painter.drawText(QPointF(begin, area.top() + metrics.ascent() + NAME_GAP_PX), name)
