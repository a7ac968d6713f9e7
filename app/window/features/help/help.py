"""The card of keys and the search."""

from __future__ import annotations

from PySide6.QtCore import QObject
from PySide6.QtWidgets import QMainWindow

from app.window.actions.action_search import ActionSearch
from app.window.actions.conditions import Conditions
from app.window.actions.context import ActionContext
from app.window.actions.key_card import KeyCard
from app.window.actions.menus import Menus


class Help(QObject):
    """Shows the table of actions."""

    def __init__(self, context: ActionContext) -> None:
        super().__init__(context[QMainWindow])
        self._context = context

    def show_keys(self) -> None:
        """Show every action with its key."""
        KeyCard(self._context[Menus].rows, self._context[QMainWindow]).open()

    def search(self) -> None:
        """Let the coach type what they want to do."""
        menus, conditions = self._context[Menus], self._context[Conditions]
        window = self._context[QMainWindow]
        ActionSearch(menus.rows, menus.actions, conditions.lacks, window).open()
