"""Marks on the force curve in the window: the pen, the sheet it draws on, and the row of tools."""

from __future__ import annotations

from collections.abc import Mapping

from PySide6.QtCore import QObject
from PySide6.QtGui import QAction

from app.window.desk import Desk
from app.window.drawing.curve_bar import CurveBar
from app.window.drawing.curve_drawing import CurveDrawing
from app.window.drawing.curve_mark_sheet import CurveMarkSheet
from app.window.drawing.drawing import Drawing
from app.window.force.curve_view import CurveView
from app.window.force.stroke_panel import StrokePanel, StrokeView
from app.window.force.target_panel import TargetEditor
from app.window.message_line import Messages
from app.window.picture.transport import Transport
from app.window.playhead import Playhead


class CurveMarks(QObject):
    """Puts the parts together, and keeps the two pens of the curve apart."""

    def __init__(
        self,
        desk: Desk,
        playhead: Playhead,
        transport: Transport,
        view: StrokeView,
        curve: CurveView,
        pen: Drawing,
        target: TargetEditor,
        messages: Messages,
        parent: QObject | None = None,
    ) -> None:
        super().__init__(parent)
        self._pen = pen
        self._target = target
        self.drawing = CurveDrawing(desk, playhead, transport, view, pen, messages, self)
        self.sheet = CurveMarkSheet(curve, self.drawing)
        self.drawing.mode_changed.connect(self._put_target_away)
        target.drawing_changed.connect(self._put_away)

    def lay_out(self, panel: StrokePanel, actions: Mapping[str, QAction]) -> None:
        """Stand a button over the curve and the row of tools under it."""
        panel.add_tools(actions["curve_draw"], CurveBar(self.drawing, self._pen, actions))
        self.drawing.mode_changed.connect(panel.show_drawing)

    def give_up_or_stop(self) -> bool:
        """Drop what is half drawn, or put the pen away; False when nobody draws on the curve."""
        if not self.drawing.is_on:
            return False
        if not self.sheet.give_up():
            self.drawing.stop()
        return True

    def _put_away(self, drawing_target: bool) -> None:
        if drawing_target:
            self.drawing.stop()

    def _put_target_away(self, drawing_marks: bool) -> None:
        if drawing_marks:
            self._target.stop_drawing()
