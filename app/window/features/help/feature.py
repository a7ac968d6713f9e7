"""Every action with its key, and the search for one."""

from __future__ import annotations

from app.window.actions.context import ActionContext
from app.window.actions.feature import Feature
from app.window.features.help.actions import ACTIONS
from app.window.features.help.help import Help


class HelpFeature(Feature):
    """Made from the one table of actions."""

    actions = ACTIONS

    def __init__(self, context: ActionContext) -> None:
        super().__init__(context)
        context.offer(Help(context))
