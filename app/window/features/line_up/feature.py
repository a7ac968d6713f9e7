"""How footage and force stand to each other: found, checked, set by hand."""

from __future__ import annotations

from PySide6.QtWidgets import QMainWindow

from app.window.actions.context import ActionContext
from app.window.actions.feature import Feature, Places
from app.window.features.line_up.actions import ACTIONS
from app.window.features.line_up.auto_line_up import AutoLineUp
from app.window.features.line_up.line_up import LineUp
from app.window.features.line_up.line_up_status import LineUpStatus
from app.window.features.line_up.shown_line_up import ShownLineUp
from app.window.session.modes import Mode, Modes
from app.window.session.playhead import Playhead
from app.window.session.review_session import ReviewSession
from app.window.session.settings import Settings
from app.window.tasks.jobs import Jobs
from app.window.tasks.message_line import Messages
from app.window.views.trace_view import TraceView


class LineUpFeature(Feature):
    """The line-up by itself and by hand."""

    actions = ACTIONS

    def __init__(self, context: ActionContext) -> None:
        super().__init__(context)
        c, session, messages = context, context[ReviewSession], context[Messages]
        line_up = LineUp(c[Playhead], session, messages, self)
        found = AutoLineUp(session, c[Playhead], c[Jobs], messages, c[Settings], self)
        shown = ShownLineUp(session, found, c[Jobs], c[QMainWindow])
        trace = c[TraceView]
        trace.catch_picked.connect(line_up.pick)
        line_up.picking_changed.connect(trace.set_picking)
        c[Modes].add(
            Mode(
                "trace",
                lambda: line_up.is_picking,
                line_up.give_up,
                "Lining up: click the same catch on the trace",
            ),
            line_up.picking_changed,
        )
        found.show_wanted.connect(shown.show)
        found.by_hand_wanted.connect(line_up.mark)
        context.offer(line_up, found, shown)

    def lay_out(self, places: Places) -> None:
        """One line over the trace."""
        places.over_trace.append(
            LineUpStatus(self.context[ReviewSession], self.context[AutoLineUp])
        )
