"""Cutting a piece into sections and naming them."""

from __future__ import annotations

from typing import ClassVar

from PySide6.QtWidgets import QMainWindow

from app.window.actions.context import ActionContext
from app.window.actions.feature import Feature
from app.window.features.sections.actions import ACTIONS
from app.window.features.sections.section_cutting import SectionCutting
from app.window.session.playhead import Playhead
from app.window.session.review_session import ReviewSession
from app.window.tasks.message_line import Messages


class SectionsFeature(Feature):
    """Where sections begin and what they are called; the trace shows them."""

    actions: ClassVar = ACTIONS

    def __init__(self, context: ActionContext) -> None:
        super().__init__(context)
        self.cutting = SectionCutting(
            context[ReviewSession], context[Playhead], context[Messages], context[QMainWindow]
        )
        context.offer(self.cutting)
