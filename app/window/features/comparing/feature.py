"""Two strokes side by side; references and the self-test."""

from __future__ import annotations

from PySide6.QtWidgets import QMainWindow

from app.window.actions.conditions import Conditions
from app.window.actions.context import ActionContext
from app.window.actions.feature import Feature, Places
from app.window.features.comparing.actions import ACTIONS
from app.window.features.comparing.comparisons import Comparisons
from app.window.features.comparing.on_stage import ComparisonOnStage
from app.window.session.known_recordings import KnownRecordings
from app.window.session.modes import Mode, Modes
from app.window.session.playhead import Playhead
from app.window.session.review_session import ReviewSession
from app.window.session.settings import Settings
from app.window.tasks.jobs import Jobs
from app.window.tasks.message_line import Messages
from app.window.views.frame_supply import FrameSupply
from app.window.views.picture import PictureView
from app.window.views.shown_marks import ShownMarks
from app.window.views.stage import Stage


class ComparingFeature(Feature):
    """A second picture, both curves, and the table between them."""

    actions = ACTIONS

    def __init__(self, context: ActionContext) -> None:
        super().__init__(context)
        c = context
        self.comparisons = Comparisons(
            c[Playhead], c[ReviewSession], c[FrameSupply], c[PictureView], c[ShownMarks], c[Jobs],
            c[Messages], c[Settings], c[QMainWindow],
        )  # fmt: skip
        comparing = self.comparisons.comparing
        c[KnownRecordings].allowed.connect(comparing.open_again)
        c[Stage].add_part(ComparisonOnStage(comparing))
        laying = comparing.laying
        c[Modes].add(
            Mode(
                "pair",
                lambda: laying.is_on,
                laying.give_up,
                "Matching the two pictures",
                laying.give_up,
            ),
            comparing.changed,
        )
        c[Modes].add(
            Mode(
                "comparison",
                lambda: comparing.is_shown,
                lambda: comparing.show(""),
                "Comparing two strokes",
                rank=-1,
            ),
            comparing.changed,
        )
        c[Conditions].add(
            "comparison",
            lambda: comparing.is_shown,
            "needs two strokes on screen",
            comparing.changed,
        )
        context.offer(self.comparisons)

    def lay_out(self, places: Places) -> None:
        """Beside the picture, in the place of the stroke's curve, and among the tabs."""
        self.comparisons.stand_under_pictures(places.stage, places.actions)
        self.comparisons.take_the_place_of(places.curves)
        self.comparisons.stand_in(places.tabs, places.actions)

    def close(self) -> None:
        """End everything that runs."""
        self.comparisons.close()
