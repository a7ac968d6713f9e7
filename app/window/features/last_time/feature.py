"""A tab with this time against last time."""

from __future__ import annotations

from app.window.actions.context import ActionContext
from app.window.actions.feature import Feature, Places
from app.window.features.last_time.actions import ACTIONS
from app.window.features.last_time.last_time_panel import LastTimePanel
from app.window.session.last_times import LastTimes
from app.window.session.review_session import ReviewSession
from app.window.tasks.jobs import Jobs


class LastTimeFeature(Feature):
    """A tab, there once the athlete has an earlier piece."""

    actions = ACTIONS

    def __init__(self, context: ActionContext) -> None:
        super().__init__(context)
        self._times = context[LastTimes]
        self.panel = LastTimePanel(self._times, context[ReviewSession], context[Jobs])
        context.offer(self.panel)

    def lay_out(self, places: Places) -> None:
        """Beside the notes; hidden until there is something to tell."""
        self._tabs = places.tabs
        self.context.offer(places.tabs)
        places.tabs.add(self.panel, "Last time")
        places.tabs.show_tab(self.panel, False)
        self._times.changed.connect(self._follow)

    def _follow(self) -> None:
        found = self._times.found
        self._tabs.show_tab(self.panel, found is not None and found.progress is not None)
