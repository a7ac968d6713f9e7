"""The recorded walkthrough: recording, playing, cutting, writing."""

from __future__ import annotations

from app.window.actions.context import ActionContext
from app.window.actions.feature import Feature, Places
from app.window.features.walkthrough.actions import ACTIONS
from app.window.features.walkthrough.walkthroughs import Walkthroughs


class WalkthroughFeature(Feature):
    """A tab, and the strip over the picture while one is recorded."""

    actions = ACTIONS

    def __init__(self, context: ActionContext) -> None:
        super().__init__(context)
        self.walkthroughs = Walkthroughs(context, self)
        context.offer(self.walkthroughs)

    def lay_out(self, places: Places) -> None:
        """Stand among the tabs."""
        self.walkthroughs.lay_out(places.tabs, places.actions)

    def pause(self) -> None:
        """End what is recorded or played; it is kept."""
        self.walkthroughs.close()
