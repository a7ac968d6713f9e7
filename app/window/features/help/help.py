"""The card of keys, the search, the guide and the tour."""

from __future__ import annotations

from PySide6.QtCore import QObject
from PySide6.QtWidgets import QMainWindow

from app.window.actions.action_search import ActionSearch
from app.window.actions.conditions import Conditions
from app.window.actions.context import ActionContext
from app.window.actions.key_card import KeyCard
from app.window.actions.menus import Menus
from app.window.features.help.tour import Tour
from app.window.session.review_session import ReviewSession
from app.window.tasks.message_line import Messages


class Help(QObject):
    """Shows the table of actions."""

    def __init__(self, context: ActionContext, tour: Tour) -> None:
        super().__init__(context[QMainWindow])
        self._context = context
        self._tour = tour
        self._starts_tour = False  # once the sample is there
        context[ReviewSession].opened.connect(self._take_opened)

    def show_keys(self) -> None:
        """Show every action with its key."""
        KeyCard(self._context[Menus].rows, self._context[QMainWindow]).open()

    def search(self) -> None:
        """Let the coach type what they want to do."""
        menus, conditions = self._context[Menus], self._context[Conditions]
        window = self._context[QMainWindow]
        ActionSearch(menus.rows, menus.actions, conditions.lacks, window).open()

    def show_guide(self) -> None:
        """Open the guide, or come back to it."""
        from app.window.features.help.guide import GuideDialog

        window = self._context[QMainWindow]
        open_now = window.findChildren(GuideDialog)
        dialog = open_now[0] if open_now else GuideDialog(window)
        dialog.show()
        dialog.activateWindow()

    def show_tour(self) -> None:
        """Begin the tour on what is open; where nothing is, on the sample."""
        if self._context[ReviewSession].review is None:
            self._starts_tour = True
            self._context[Menus].actions["sample"].trigger()
        else:
            self._tour.begin()

    def tell_version(self) -> None:
        """Say which version this is."""
        from app.window.features.help.guide import about_text

        self._context[Messages].say(about_text())

    def _take_opened(self) -> None:
        if self._starts_tour:
            self._starts_tour = False
            self._tour.begin()
