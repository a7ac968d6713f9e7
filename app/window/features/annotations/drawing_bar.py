"""The row of tools under the picture while drawing: everything the keys do, for the mouse."""

from __future__ import annotations

from collections.abc import Mapping
from functools import partial

from PySide6.QtCore import QSignalBlocker, Qt
from PySide6.QtGui import QAction, QPainter
from PySide6.QtWidgets import QDoubleSpinBox

from app.review.mark_shapes import length_px, shape_of
from app.review.parts.marks import Mark, Point
from app.window.features.annotations.drawing import TOOLS, Drawing
from app.window.features.annotations.pen import CHOOSE
from app.window.features.annotations.pen_bar import (
    MarkBar,
    overflow_tool_bar,
    sketch_hand,
    sketched,
)
from app.window.views.mark_paint import paint_runs

_SKETCHES: dict[str, tuple[Point, ...]] = {
    "line": ((3, 18), (19, 4)),
    "arrow": ((3, 18), (18, 5)),
    "freehand": ((3, 15), (6, 8), (10, 7), (12, 13), (15, 16), (19, 9)),
    "circle": ((3, 4), (19, 18)),
    "angle": ((19, 17), (4, 17), (15, 4)),
    "plumb": ((11, 3), (11, 19)),
    "level": ((3, 11), (19, 11)),
    "distance": ((4, 11), (18, 11)),
}
TOOLS_STAY = 4  # of the tools, in any window
# The last number: who makes room first where the window is narrow.
_DEEDS = (
    ("mark_copy", "Copy", 2),
    ("mark_stroke", "Stroke", 3),
    ("mark_to_here", "To here", 4),
    ("mark_delete", "Delete", 1),
    ("draw_stop", "Done", 0),
)


class DrawingBar(MarkBar):
    """Tools, colours, what can be done with the selected mark, and how long a distance is."""

    def __init__(self, drawing: Drawing, actions: Mapping[str, QAction]) -> None:
        super().__init__(drawing, actions, "draw_stop")
        self._drawing = drawing
        self._row = row = overflow_tool_bar(self)
        tools = (CHOOSE, *(t for t in TOOLS if t != CHOOSE))
        sketches = [(t, f"draw_{t}", sketched(partial(_sketch, t))) for t in tools]
        self._add_tools(row.put, sketches, TOOLS_STAY)
        row.gap()
        self._add_colours(row.put, drawing.set_colour)
        row.gap()
        self._add_deeds(row.put, _DEEDS)
        row.stretch()
        self._length = QDoubleSpinBox()
        self._length.setAccessibleName("Real length of the distance")
        self._length.setToolTip(
            "How long this distance really is. It sets the scale for every distance, and holds in"
            " the plane of this line, at this zoom of the camera."
        )
        self._length.setRange(0.0, 100.0)
        self._length.setDecimals(2)
        self._length.setSingleStep(0.05)
        self._length.setSuffix(" m")
        self._length.setPrefix("= ")
        self._length.setSpecialValueText("= ? m")
        self._length.setFixedWidth(96)
        self._length.setKeyboardTracking(False)
        self._length.setFocusPolicy(Qt.FocusPolicy.ClickFocus)
        self._length.valueChanged.connect(drawing.set_length)
        self._length.editingFinished.connect(self._length.clearFocus)
        row.put(self._length)
        row.want(self._length, False)

    def _show(self) -> None:
        super()._show()
        mark = self._drawing.selected
        measured = mark is not None and mark.kind == "distance"
        self._row.want(self._length, measured)
        if mark is not None and measured:
            scale = self._drawing.metres_per_px
            with QSignalBlocker(self._length):
                self._length.setValue(0.0 if scale is None else scale * length_px(mark.points_px))


def _sketch(tool: str, painter: QPainter) -> None:
    """Sketch what a tool draws."""
    if tool == "text":
        letter = (((4.0, 5.0), (18.0, 5.0)), ((11.0, 5.0), (11.0, 18.0)))
        paint_runs(painter, letter, "yellow", 1.8)
    elif tool == CHOOSE:
        sketch_hand(painter)
    else:
        runs = shape_of(Mark("", tool, _SKETCHES[tool]), None, 8.0).runs
        paint_runs(painter, runs, "yellow", 1.8)
