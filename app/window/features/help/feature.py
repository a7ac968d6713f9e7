"""Every action with its key, the search for one, the guide and the tour."""

from __future__ import annotations

from app.window.actions.context import ActionContext
from app.window.actions.feature import Feature, Places
from app.window.features.help.actions import ACTIONS
from app.window.features.help.help import Help
from app.window.features.help.tour import Tour


class HelpFeature(Feature):
    """Made from the one table of actions."""

    actions = ACTIONS

    def __init__(self, context: ActionContext) -> None:
        super().__init__(context)
        self.tour = Tour()
        context.offer(Help(context, self.tour))

    def lay_out(self, places: Places) -> None:
        """The tour has a line over the trace while it is on."""
        self.tour.use(places.actions)
        places.over_trace.append(self.tour)
