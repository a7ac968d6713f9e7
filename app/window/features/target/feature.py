"""The curve to row towards, and what it would change on a flywheel."""

from __future__ import annotations

from app.window.actions.context import ActionContext
from app.window.actions.feature import Feature, Places
from app.window.features.target.actions import ACTIONS
from app.window.features.target.target_editor import TargetEditor
from app.window.features.target.target_panel import TargetPanel
from app.window.features.target.wheel import Wheel
from app.window.session.modes import Mode, Modes
from app.window.session.review_session import ReviewSession
from app.window.session.selection import Selection
from app.window.tasks.jobs import Jobs
from app.window.tasks.message_line import Messages
from app.window.views.curve_view import CurveView
from app.window.views.stroke_panel import StrokeView


class TargetFeature(Feature):
    """Presets, drawing, and the table of what would change."""

    actions = ACTIONS

    def __init__(self, context: ActionContext) -> None:
        super().__init__(context)
        session, view = context[ReviewSession], context[StrokeView]
        self.editor = TargetEditor(
            session, view, context[CurveView], context[Messages], context[Selection], self
        )
        self.wheel = Wheel(session, view, self.editor, context[Jobs], self)
        context.offer(self.editor)
        self._modes = context[Modes]
        self._mode = Mode(
            "curve", lambda: self.editor.is_drawing, self.editor.stop_drawing, "Drawing the target"
        )
        self._modes.add(self._mode, self.editor.drawing_changed)

    def lay_out(self, places: Places) -> None:
        """Stand under the stroke's curve."""
        panel = TargetPanel(self.editor, self.context[ReviewSession], self.context[StrokeView])
        self.wheel.told.connect(panel.show_wheel)
        places.under_curve.append(panel)
        # While another hand draws on the curve this one rests, and a low screen has no room for
        # both.
        self._modes.changed.connect(
            lambda: panel.give_way(self._modes.is_taken("curve", self._mode))
        )
