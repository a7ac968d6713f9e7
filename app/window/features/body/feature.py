"""The body in the film."""

from __future__ import annotations

from typing import ClassVar

from PySide6.QtWidgets import QMainWindow

from app.window.actions.conditions import Conditions
from app.window.actions.context import ActionContext
from app.window.actions.feature import Feature, Places
from app.window.features.body.actions import ACTIONS
from app.window.features.body.back_view import BackView
from app.window.features.body.body_panel import BodyPanel
from app.window.features.body.by_hand import ByHand
from app.window.features.body.following import Following
from app.window.features.body.frame_on_screen import FrameOnScreen
from app.window.features.body.invitation import FollowInvitation
from app.window.features.body.machine import Machine
from app.window.features.body.machine_panel import MachinePanel
from app.window.features.body.placing import Placing
from app.window.features.body.skeleton_sheet import SkeletonSheet
from app.window.features.body.stature import Stature
from app.window.features.body.working_out import WorkingOut
from app.window.session.modes import Mode, Modes
from app.window.session.playhead import Playhead
from app.window.session.review_session import ReviewSession
from app.window.tasks.jobs import Jobs
from app.window.tasks.message_line import Messages
from app.window.views.picture import PictureView


class BodyFeature(Feature):
    """Follows the body, shows it on the picture and lets it be put right."""

    actions: ClassVar = ACTIONS

    def __init__(self, context: ActionContext) -> None:
        super().__init__(context)
        session, playhead = context[ReviewSession], context[Playhead]
        jobs, messages, picture = context[Jobs], context[Messages], context[PictureView]
        frame = FrameOnScreen(session, picture)
        self.working_out = WorkingOut(session, jobs, messages, self)
        self.following = Following(session, playhead, frame, jobs, messages, self)
        self.placing = Placing(session, playhead, frame, jobs, messages, self)
        self.machine = Machine(session, self.placing, jobs, messages, self)
        self.by_hand = ByHand(session, playhead, self.placing, jobs, messages, self)
        self.following.offer_by_hand(self.by_hand.begin)
        self.sheet = SkeletonSheet(picture, frame, self.following, self.placing)
        self.stature = Stature(session, messages, context[QMainWindow])
        self._offer_modes(context[Modes])
        context[Conditions].add(
            "body",
            lambda: session.submission.body is not None,
            "follow the body first",
            session.body_changed,
        )
        context.offer(
            self.following, self.by_hand, self.placing, self.machine, self.sheet, self.stature
        )

    def lay_out(self, places: Places) -> None:
        """A tab, there once a body was followed."""
        session, tabs = self.context[ReviewSession], places.tabs
        self.panel = BodyPanel(session, self.context[Playhead])
        self.machine_panel = MachinePanel(session, self.machine, self.placing)
        self.panel.add_below(self.machine_panel)
        self.back = BackView(session)
        self.panel.add_below(self.back)
        tabs.add(self.panel, "Body")
        self.invitation = FollowInvitation(
            session, places.actions["follow_body"], places.actions["body_by_hand"]
        )
        places.over_trace.append(self.invitation)
        tabs.show_tab(self.panel, False)

        def follow() -> None:
            tabs.show_tab(self.panel, session.submission.body is not None)

        session.body_changed.connect(follow)
        session.recordings_changed.connect(follow)

    def _offer_modes(self, modes: Modes) -> None:
        following, placing = self.following, self.placing
        asking = Mode(
            "picture", lambda: following.is_asking, following.stop,
            "Saying who the athlete is: hip, then head", following.give_up,
        )  # fmt: skip
        modes.add(asking, following.mode_changed)
        hand = Mode(
            "picture", lambda: placing.is_on, placing.stop, "Placing points of the body",
            self.sheet.give_up,
        )  # fmt: skip
        modes.add(hand, placing.mode_changed)
