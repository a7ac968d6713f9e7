"""The row of tools under the stroke curve while drawing on it: what the keys do, for the mouse."""

from __future__ import annotations

from collections.abc import Mapping
from functools import partial

from PySide6.QtGui import QAction, QColor, QPainter
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout

from app.review.parts.marks import MARK_COLOURS
from app.window.features.annotations.curve_drawing import CurveDrawing
from app.window.features.annotations.drawing import Drawing
from app.window.features.annotations.pen import CHOOSE
from app.window.features.annotations.pen_bar import MarkBar, in_row, sketch_hand, sketched
from app.window.views.mark_paint import paint_runs

_TOOLS = ((CHOOSE, "curve_choose"), ("line", "curve_line"), ("span", "curve_span"))
_DEEDS = (
    ("curve_words", "Words", 0),
    ("curve_every", "Every stroke", 0),
    ("curve_delete", "Delete", 0),
    ("curve_draw", "Done", 0),
)


class CurveBar(MarkBar):
    """Tools, colours and what can be done with the selected mark on the curve."""

    def __init__(self, drawing: CurveDrawing, pen: Drawing, actions: Mapping[str, QAction]) -> None:
        super().__init__(drawing, actions, "curve_draw")
        self._drawing = drawing
        rows = QVBoxLayout(self)  # two, so that the side stays narrow
        rows.setContentsMargins(0, 0, 0, 0)
        rows.setSpacing(2)
        row, deeds = QHBoxLayout(), QHBoxLayout()
        for line in (row, deeds):
            line.setSpacing(2)
            rows.addLayout(line)
        self._add_tools(
            in_row(row), [(t, name, sketched(partial(_sketch, t))) for t, name in _TOOLS]
        )
        row.addSpacing(4)
        self._add_colours(in_row(row), pen.set_colour)
        row.addStretch(1)
        self._add_deeds(in_row(deeds), _DEEDS)
        self._deeds["curve_every"].setCheckable(True)
        deeds.addStretch(1)
        self._show()

    def _show(self) -> None:
        super()._show()
        mark = self._drawing.selected
        self._deeds["curve_every"].setChecked(mark is not None and mark.stroke is None)


def _sketch(tool: str, painter: QPainter) -> None:
    if tool == CHOOSE:
        sketch_hand(painter)
    elif tool == "line":
        hump = ((3, 18), (6, 9), (10, 5), (15, 6), (19, 17))
        paint_runs(painter, (hump,), "yellow", 1.8)
    else:
        shade = QColor(MARK_COLOURS["yellow"])
        shade.setAlpha(110)
        painter.fillRect(7, 3, 9, 16, shade)
        for x in (7.0, 16.0):
            paint_runs(painter, (((x, 3.0), (x, 19.0)),), "yellow", 1.2)
