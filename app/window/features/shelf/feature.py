"""Explain once, use again."""

from __future__ import annotations

from app.window.actions.context import ActionContext
from app.window.actions.feature import Feature, Places
from app.window.features.shelf.actions import ACTIONS, show_shelf
from app.window.features.shelf.kept_explanations import KeptExplanations
from app.window.session.playhead import Playhead
from app.window.session.review_session import ReviewSession
from app.window.session.selection import Selection
from app.window.tasks.jobs import Jobs
from app.window.tasks.message_line import Messages


class ShelfFeature(Feature):
    """What is offered stands under the tabs; the shelf itself is a window of its own."""

    actions = ACTIONS

    def __init__(self, context: ActionContext) -> None:
        super().__init__(context)
        c = context
        self.kept = KeptExplanations(
            c[ReviewSession], c[Playhead], c[Selection], c[Jobs], c[Messages], self
        )
        self.kept.manager_wanted.connect(lambda: show_shelf(context))
        c.offer(self.kept)

    def lay_out(self, places: Places) -> None:
        """A line under the tabs, which is there while something is offered."""
        from app.window.features.shelf.offer_strip import OfferStrip

        self.strip = OfferStrip(self.kept)
        places.under_tabs.append(self.strip)
