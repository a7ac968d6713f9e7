"""What athletes send back."""

from __future__ import annotations

from PySide6.QtWidgets import QMainWindow

from app.review.parts.state import ReviewState
from app.window.actions.context import ActionContext
from app.window.actions.feature import Feature, Places
from app.window.features.answers.actions import ACTIONS
from app.window.features.answers.answers import Answers
from app.window.features.answers.answers_panel import AnswersPanel
from app.window.features.answers.whose import Whose
from app.window.session.coach_library import CoachLibrary
from app.window.session.incoming_files import IncomingFiles
from app.window.session.review_session import ReviewSession
from app.window.tasks.jobs import Jobs
from app.window.tasks.message_line import Messages
from app.window.widgets.side_tabs import SideTabs


class AnswersFeature(Feature):
    """Answers taken into the review, bundles looked into."""

    actions = ACTIONS

    def __init__(self, context: ActionContext) -> None:
        super().__init__(context)
        session = context[ReviewSession]
        jobs, messages = context[Jobs], context[Messages]
        whose = Whose(session, context[CoachLibrary], messages)
        self.answers = Answers(context[QMainWindow], session, jobs, messages, whose)
        context[IncomingFiles].add(self.answers.take)
        context.offer(self.answers)

    def lay_out(self, places: Places) -> None:
        """A tab, there once something came back or is looked for."""
        session, tabs = self.context[ReviewSession], places.tabs
        self._tabs: SideTabs = tabs
        self.panel = AnswersPanel(self.answers, session)
        tabs.add(self.panel, "Answers")
        tabs.show_tab(self.panel, False)
        session.state_changed.connect(self._take_state)
        session.opening.connect(lambda: tabs.show_tab(self.panel, False))
        self.answers.look_wanted.connect(self._come_forward)

    def _take_state(self, state: ReviewState, _before: ReviewState) -> None:
        if state.answers:
            self._tabs.show_tab(self.panel)
        self._tabs.count_in(self.panel, len(state.answers))

    def _come_forward(self) -> None:
        self._tabs.show_tab(self.panel)
        self._tabs.setCurrentWidget(self.panel)
