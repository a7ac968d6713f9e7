"""The athletes: whose turn it is."""

from __future__ import annotations

from app.window.actions.context import ActionContext
from app.window.actions.feature import Feature, Places
from app.window.features.athletes.actions import ACTIONS
from app.window.features.athletes.first_screen import FirstScreen
from app.window.session.coach_library import CoachLibrary
from app.window.session.review_session import ReviewSession
from app.window.tasks.message_line import Messages
from app.window.views.stage import Stage


class AthletesFeature(Feature):
    """The first screen."""

    actions = ACTIONS

    def __init__(self, context: ActionContext) -> None:
        super().__init__(context)
        c = context
        self.screen = FirstScreen(c[ReviewSession], c[CoachLibrary], c[Stage], c[Messages])
        c.offer(self.screen)

    def lay_out(self, places: Places) -> None:
        """The page is on the stage already; it offers what begins."""
        self.screen.take_turns()
        self.screen.page.lay_out(places.actions, places.stage.welcome_back)
