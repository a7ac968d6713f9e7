"""Every action with its key, the search for one, the guide and the tour."""

from __future__ import annotations

from app.window.actions.context import ActionContext
from app.window.actions.feature import Feature, Places
from app.window.features.help.actions import ACTIONS
from app.window.features.help.help import Help
from app.window.features.help.tour import Tour
from app.window.session.modes import Mode, Modes


class HelpFeature(Feature):
    """Made from the one table of actions."""

    actions = ACTIONS

    def __init__(self, context: ActionContext) -> None:
        super().__init__(context)
        self.tour = Tour()
        context.offer(Help(context, self.tour))
        # What a step shows may be a mode itself: Escape leaves that first, then the tour.
        mode = Mode("tour", lambda: not self.tour.isHidden(), self.tour.end, "Tour", rank=-1)
        context[Modes].add(mode, self.tour.begun_or_left)

    def lay_out(self, places: Places) -> None:
        """The tour has a line over the trace while it is on."""
        self.tour.use(places.actions)
        places.over_trace.append(self.tour)
