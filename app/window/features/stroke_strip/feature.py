"""One stroke laid out frame by frame over its curve, in the picture's place."""

from __future__ import annotations

from app.window.actions.context import ActionContext
from app.window.actions.feature import Feature
from app.window.features.stroke_strip.actions import ACTIONS
from app.window.features.stroke_strip.strips import Strips
from app.window.session.modes import Mode, Modes
from app.window.session.review_session import ReviewSession
from app.window.session.selection import Selection
from app.window.tasks.jobs import Jobs
from app.window.tasks.message_line import Messages
from app.window.views.stage import Stage
from app.window.views.stroke_panel import StrokeView


class StrokeStripFeature(Feature):
    """The stroke strip, shown and saved."""

    actions = ACTIONS

    def __init__(self, context: ActionContext) -> None:
        super().__init__(context)
        c, stage = context, context[Stage]
        self.strips = Strips(
            c[ReviewSession], c[StrokeView], c[Selection], c[Jobs], c[Messages], stage, self
        )
        stage.add_part(self.strips)
        strips = self.strips
        c[Modes].add(
            Mode(
                "strip", lambda: strips.is_shown, lambda: strips.show(""), "Stroke strip", rank=-1
            ),
            stage.shown_changed,
        )
        context.offer(self.strips)
