"""Writing what the athlete gets."""

from __future__ import annotations

from PySide6.QtWidgets import QMainWindow

from app.window.actions.context import ActionContext
from app.window.actions.feature import Feature, Places
from app.window.features.sending.actions import ACTIONS
from app.window.features.sending.sending import Sending
from app.window.session.last_times import LastTimes
from app.window.session.library_filling import LibraryFilling
from app.window.session.review_session import ReviewSession
from app.window.session.selection import Selection
from app.window.session.settings import Settings
from app.window.tasks.jobs import Jobs
from app.window.tasks.message_line import Messages


class SendingFeature(Feature):
    """The feedback bundle."""

    actions = ACTIONS

    def __init__(self, context: ActionContext) -> None:
        super().__init__(context)
        c = context
        sending = Sending(
            c[ReviewSession], c[Jobs], c[Messages], c[Settings], c[LastTimes], c[QMainWindow]
        )  # fmt: skip
        sending.note_wanted.connect(c[Selection].note_wanted)
        filling = c[LibraryFilling]
        sending.sent.connect(
            lambda state, path, result: filling.sent(state, path, result.path, result.bytes)
        )
        self._sending = sending
        context.offer(sending)

    def lay_out(self, places: Places) -> None:
        """The check mends on the bench what is missing."""
        self._sending.actions = places.actions
