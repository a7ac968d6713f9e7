"""The piece seen from elsewhere."""

from __future__ import annotations

from app.window.actions.context import ActionContext
from app.window.actions.feature import Feature
from app.window.features.second_view.actions import ACTIONS
from app.window.features.second_view.second_view import SecondView
from app.window.session.playhead import Playhead
from app.window.session.review_session import ReviewSession
from app.window.tasks.jobs import Jobs
from app.window.tasks.message_line import Messages
from app.window.views.picture import PictureView


class SecondViewFeature(Feature):
    """The film of a second camera, in a corner of the picture."""

    actions = ACTIONS

    def __init__(self, context: ActionContext) -> None:
        super().__init__(context)
        self.view = SecondView(
            context[ReviewSession],
            context[Playhead],
            context[PictureView],
            context[Jobs],
            context[Messages],
        )
        context.offer(self.view)

    def close(self) -> None:
        """Stop decoding."""
        self.view.close()
