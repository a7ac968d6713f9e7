"""Qt actions, menus and shortcuts made from the table of actions."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from PySide6.QtCore import QObject
from PySide6.QtGui import QAction, QKeySequence
from PySide6.QtWidgets import QLabel, QMainWindow, QMenu, QWidgetAction

from app.window.actions.action_row import ActionRow
from app.window.actions.conditions import Conditions
from app.window.actions.context import ActionContext
from app.window.actions.key_card import key_text
from app.window.actions.menu_order import MENUS
from app.window.session.modes import Modes
from app.window.session.review_session import ReviewSession


class Menus(QObject):
    """Keeps the Qt actions and lets each be used only when it can do something.

    Attributes
    ----------
    rows : the table, in the order of the menus
    actions : the Qt actions by the names of the rows
    """

    def __init__(
        self, window: QMainWindow, rows: Sequence[ActionRow], context: ActionContext
    ) -> None:
        super().__init__(window)
        self.rows = tuple(rows)
        self._context = context
        self._session, self._conditions = context[ReviewSession], context[Conditions]
        self.actions: dict[str, QAction] = {row.name: self._make(row) for row in self.rows}
        for menu, sections in MENUS:
            self._fill(window, menu, sections)
        window.addActions(list(self.actions.values()))
        self._session.state_changed.connect(self.renew)
        self._conditions.changed.connect(self.renew)
        for changed in (self._session.state_changed, self._conditions.changed):
            changed.connect(self.show_ticks)
        context[Modes].changed.connect(self.show_ticks)
        self.renew()

    def bar_actions(self) -> dict[str, QAction]:
        """Short-named twins for the row under the picture, by the names of the actions."""
        return {row.name: self._twin(row) for row in self.rows if row.in_bar}

    def renew(self, *_changed: object) -> None:
        """Enable what can do something now, and name what undo would take back."""
        answers = self._conditions.answers()
        for row in self.rows:
            self.actions[row.name].setEnabled(answers[row.needs])
        review = self._session.review
        for name, title, label in (
            ("undo", "Undo", review.undo_label if review else None),
            ("redo", "Redo", review.redo_label if review else None),
        ):
            if name in self.actions:
                self.actions[name].setText(f"{title}: {label}" if label else title)
                self.actions[name].setEnabled(label is not None)

    def show_ticks(self, *_changed: object) -> None:
        """Tick what is on."""
        for row in self.rows:
            if row.is_on is not None:
                self.actions[row.name].setChecked(row.is_on(self._context))

    def _fill(self, window: QMainWindow, menu: str, sections: Sequence[str]) -> None:
        in_menu = [row for row in self.rows if row.section in sections]
        if not in_menu:
            return
        qmenu = window.menuBar().addMenu(menu)
        qmenu.setToolTipsVisible(True)
        qmenu.aboutToShow.connect(self.show_ticks)
        for section in sections:
            rows = [row for row in in_menu if row.section == section]
            if len(sections) > 1 and rows:
                qmenu.addAction(_heading(section, qmenu))
            qmenu.addActions([self.actions[row.name] for row in rows])

    def _make(self, row: ActionRow) -> QAction:
        action = QAction(row.title, self)
        action.setShortcuts([QKeySequence(key) for key in row.keys])
        action.setAutoRepeat(row.name in ("step_on", "step_back", "undo", "redo"))
        action.setStatusTip(row.help)
        action.setToolTip(row.help)
        action.setCheckable(row.is_on is not None)
        action.triggered.connect(self._runner(row))
        return action

    def _twin(self, row: ActionRow) -> QAction:
        action, twin = self.actions[row.name], QAction(row.in_bar, self)
        keys = key_text(row.keys)
        twin.setToolTip(f"{row.help}\nKey: {keys}" if keys else row.help)
        twin.setData(row.title)  # what the button is called where it cannot be seen
        twin.setCheckable(action.isCheckable())
        action.toggled.connect(twin.setChecked)
        twin.triggered.connect(lambda: self._run_twin(action, twin))
        twin.setEnabled(action.isEnabled())
        action.enabledChanged.connect(twin.setEnabled)
        return twin

    def why_not(self, key: QKeySequence) -> str:
        """Why a key does nothing now, as a sentence; "" where it does something, or is nobody's."""
        answers = self._conditions.answers()
        for row in self.rows:
            if not answers[row.needs] and key in self.actions[row.name].shortcuts():
                return f"{row.title}: {self._conditions.lacks(row.needs)}."
        return ""

    def sections(self) -> dict[str, list[QAction]]:
        """The Qt actions of each section."""
        found: dict[str, list[QAction]] = {}
        for row in self.rows:
            found.setdefault(row.section, []).append(self.actions[row.name])
        return found

    def _run_twin(self, action: QAction, twin: QAction) -> None:
        action.trigger()
        twin.setChecked(action.isChecked())  # a click that changed nothing leaves no tick

    def _runner(self, row: ActionRow) -> Callable[[], None]:
        def run() -> None:
            row.run(self._context)
            self.show_ticks()

        return run


def _heading(section: str, menu: QMenu) -> QWidgetAction:
    """A section's name: read, not chosen."""
    label = QLabel(section)
    label.setProperty("role", "section")
    action = QWidgetAction(menu)
    action.setDefaultWidget(label)
    action.setText(section)
    action.setEnabled(False)
    return action
