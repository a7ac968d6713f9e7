"""Reading force curves from pictures, and showing them beside the athlete's own."""

from __future__ import annotations

from PySide6.QtWidgets import QMainWindow

from app.window.actions.context import ActionContext
from app.window.actions.feature import Feature, Places
from app.window.features.curve_picture.actions import ACTIONS
from app.window.features.curve_picture.picture_reading import PictureReading
from app.window.features.curve_picture.read_panel import ReadPanel
from app.window.features.curve_picture.shown_curves import ShownCurves
from app.window.session.incoming_files import IncomingFiles
from app.window.session.playhead import Playhead
from app.window.session.review_session import ReviewSession
from app.window.tasks.jobs import Jobs
from app.window.tasks.message_line import Messages
from app.window.views.curve_view import CurveView
from app.window.views.stroke_panel import StrokeView


class CurvePictureFeature(Feature):
    """Takes pictures that are dropped, and a row under the curve."""

    actions = ACTIONS

    def __init__(self, context: ActionContext) -> None:
        super().__init__(context)
        session, messages = context[ReviewSession], context[Messages]
        reading = PictureReading(
            session, context[Playhead], context[Jobs], messages, context[QMainWindow]
        )
        self.shown = ShownCurves(session, context[StrokeView], context[CurveView], messages, self)
        context.offer(reading, self.shown)
        context[IncomingFiles].add(reading.take)

    def lay_out(self, places: Places) -> None:
        """Stand under the stroke's curve."""
        places.under_curve.append(ReadPanel(self.shown))
