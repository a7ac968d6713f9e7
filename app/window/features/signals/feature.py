"""Whatever else the force file holds, beside the force."""

from __future__ import annotations

from PySide6.QtWidgets import QMainWindow

from app.window.actions.context import ActionContext
from app.window.actions.feature import Feature, Places
from app.window.features.signals.actions import ACTIONS
from app.window.features.signals.force_reading import ForceReading
from app.window.features.signals.signals import Signals
from app.window.session.review_session import ReviewSession
from app.window.tasks.message_line import Messages
from app.window.views.curve_view import CurveView
from app.window.views.stroke_panel import StrokeView
from app.window.views.trace_view import TraceView


class SignalsFeature(Feature):
    """Ticked in a menu, drawn on the trace and on the stroke's curve; how the force is read."""

    actions = ACTIONS

    def __init__(self, context: ActionContext) -> None:
        super().__init__(context)
        c = context
        self.signals = Signals(c[ReviewSession], c[Messages], c[QMainWindow])
        self.signals.show_on(c[TraceView], c[CurveView], c[StrokeView])
        context.offer(self.signals, ForceReading(c[ReviewSession], c[Messages], self))

    def lay_out(self, places: Places) -> None:
        """A button and a key in the panel of the stroke."""
        self.signals.lay_out(places.stroke_panel)
