"""Moving through the footage and looking at it."""

from __future__ import annotations

from PySide6.QtWidgets import QMainWindow

from app.window.actions.context import ActionContext
from app.window.actions.feature import Feature, Places
from app.window.features.footage.actions import ACTIONS
from app.window.features.footage.capture_rate import CaptureRate
from app.window.features.footage.legend import Legend
from app.window.features.footage.limits import Limits
from app.window.features.footage.transport_bar import TransportBar
from app.window.session.modes import Mode, Modes
from app.window.session.playhead import Playhead
from app.window.session.review_session import ReviewSession
from app.window.session.settings import Settings
from app.window.tasks.message_line import Messages
from app.window.views.frame_supply import FrameSupply
from app.window.views.picture import PictureView


class FootageFeature(Feature):
    """The row under the picture, the corner of the picture, and how much it may take."""

    actions = ACTIONS

    def __init__(self, context: ActionContext) -> None:
        super().__init__(context)
        window, session = context[QMainWindow], context[ReviewSession]
        picture, modes = context[PictureView], context[Modes]
        lens = Mode(
            "lens", lambda: picture.has_lens, picture.toggle_lens, "Magnifying glass", rank=-2
        )
        modes.add(lens, picture.lens_changed)
        legend = Legend(context[Playhead], context[PictureView], self)
        session.recordings_changed.connect(lambda: legend.set_footage(session.footage))
        context.offer(
            legend,
            Limits(window, context[FrameSupply], context[Settings]),
            CaptureRate(window, session, context[Messages]),
        )

    def lay_out(self, places: Places) -> None:
        """Stand under the picture."""
        self.bar = TransportBar(self.context[Playhead], places.bar_actions)
        session = self.context[ReviewSession]
        session.recordings_changed.connect(lambda: self.bar.set_footage(session.footage))
        places.under_picture.append(self.bar)
