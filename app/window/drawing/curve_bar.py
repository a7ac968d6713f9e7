"""The row of tools under the stroke curve while drawing on it: what the keys do, for the mouse."""

from __future__ import annotations

from collections.abc import Mapping
from functools import partial

from PySide6.QtCore import Qt
from PySide6.QtGui import QAction, QColor, QIcon, QPainter, QPixmap, QTransform
from PySide6.QtWidgets import QHBoxLayout, QToolButton, QVBoxLayout, QWidget

from app.review.marks import MARK_COLOURS
from app.window.drawing.curve_drawing import CHOOSE, CurveDrawing
from app.window.drawing.drawing import Drawing
from app.window.drawing.drawing_bar import ICON_PX, swatch, tool_button, tool_icon
from app.window.drawing.mark_paint import paint_runs

_TOOLS = ((CHOOSE, "curve_choose"), ("line", "curve_line"), ("span", "curve_span"))
_DEEDS = (
    ("curve_words", "Words"),
    ("curve_every", "Every stroke"),
    ("curve_delete", "Delete"),
    ("curve_draw", "Done"),
)


class CurveBar(QWidget):
    """Tools, colours and what can be done with the mark in hand; hidden while nobody draws."""

    def __init__(self, drawing: CurveDrawing, pen: Drawing, actions: Mapping[str, QAction]) -> None:
        super().__init__()
        self._drawing = drawing
        self._tools: dict[str, QToolButton] = {}
        self._colours: dict[str, QToolButton] = {}
        rows = QVBoxLayout(self)  # two, so that the side stays narrow
        rows.setContentsMargins(0, 0, 0, 0)
        rows.setSpacing(2)
        row, deeds = QHBoxLayout(), QHBoxLayout()
        for line in (row, deeds):
            line.setSpacing(2)
            rows.addLayout(line)
        for tool, name in _TOOLS:
            self._tools[tool] = tool_button(actions[name])
            self._tools[tool].setIcon(_icon(tool))
            row.addWidget(self._tools[tool])
        row.addSpacing(4)
        for colour in MARK_COLOURS:
            self._colours[colour] = swatch(colour, partial(pen.set_colour, colour))
            row.addWidget(self._colours[colour])
        row.addStretch(1)
        self._deeds = {}
        for name, text in _DEEDS:
            button = tool_button(actions[name])
            button.setText(text)
            button.setCheckable(name == "curve_every")
            self._deeds[name] = button
            deeds.addWidget(button)
        deeds.addStretch(1)
        drawing.changed.connect(self._show)
        drawing.mode_changed.connect(self.setVisible)
        self.setVisible(False)
        self._show()

    def _show(self) -> None:
        mark = self._drawing.in_hand
        for tool, button in self._tools.items():
            button.setChecked(tool == self._drawing.tool)
        for colour, button in self._colours.items():
            button.setChecked(colour == self._drawing.colour)
        for name, button in self._deeds.items():
            button.setEnabled(mark is not None or name == "curve_draw")
        self._deeds["curve_every"].setChecked(mark is not None and mark.stroke is None)


def _icon(tool: str) -> QIcon:
    if tool == CHOOSE:
        return tool_icon(CHOOSE)
    pixmap = QPixmap(ICON_PX * 2, ICON_PX * 2)
    pixmap.setDevicePixelRatio(2.0)
    pixmap.fill(Qt.GlobalColor.transparent)
    with QPainter(pixmap) as painter:
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        if tool == "line":
            hump = ((3, 18), (6, 9), (10, 5), (15, 6), (19, 17))
            paint_runs(painter, (hump,), "yellow", QTransform(), 1.8)
        else:
            shade = QColor(MARK_COLOURS["yellow"])
            shade.setAlpha(110)
            painter.fillRect(7, 3, 9, 16, shade)
            for x in (7.0, 16.0):
                paint_runs(painter, (((x, 3.0), (x, 19.0)),), "yellow", QTransform(), 1.2)
    return QIcon(pixmap)
