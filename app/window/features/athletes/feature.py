"""The athletes: whose turn it is."""

from __future__ import annotations

from PySide6.QtCore import QTimer
from PySide6.QtWidgets import QMainWindow

from app.window.actions.context import ActionContext
from app.window.actions.feature import Feature, Places
from app.window.features.athletes.actions import ACTIONS
from app.window.features.athletes.deleting import Deleting
from app.window.features.athletes.first_screen import FirstScreen
from app.window.features.athletes.inbox import Inbox
from app.window.features.athletes.inbox_strip import InboxStrip
from app.window.features.athletes.one_athlete import OneAthlete
from app.window.features.athletes.retention import Retention
from app.window.session.coach_library import CoachLibrary
from app.window.session.review_session import ReviewSession
from app.window.session.settings import Settings
from app.window.tasks.jobs import Jobs
from app.window.tasks.message_line import Messages
from app.window.views.stage import Stage

_LOOK_AFTER_MS = 2000  # after the bench is made: first the coach


class AthletesFeature(Feature):
    """The first screen, and the inbox over it."""

    actions = ACTIONS

    def __init__(self, context: ActionContext) -> None:
        super().__init__(context)
        c = context
        self.screen = FirstScreen(c[ReviewSession], c[CoachLibrary], c[Stage], c[Messages])
        self.inbox = Inbox(
            c[ReviewSession], c[CoachLibrary], c[Settings], c[Jobs], c[Messages], c[QMainWindow]
        )
        session, library, messages = c[ReviewSession], c[CoachLibrary], c[Messages]
        deleting = Deleting(session, library, c[Settings], messages)
        retention = Retention(session, library, messages, deleting, c[QMainWindow])
        one = OneAthlete(session, library, messages, deleting, self.screen)
        self.screen.page.offer_for_one("Save all about this athlete …", one.save)
        self.screen.page.offer_for_one("Delete this athlete …", one.delete)
        c.offer(self.screen, self.inbox, retention, one)

    def lay_out(self, places: Places) -> None:
        """The page is on the stage already; it offers what begins."""
        self.screen.take_turns()
        self.screen.page.insert_above(InboxStrip(self.inbox))
        self.inbox.changed.connect(lambda: self.screen.show_what_came(bool(self.inbox.items)))
        QTimer.singleShot(_LOOK_AFTER_MS, self.inbox, self.inbox.begin)
        self.screen.page.lay_out(places.actions, places.stage.welcome_back)
