"""Qt actions, menus and shortcuts made from the table of actions."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QObject
from PySide6.QtGui import QAction, QKeySequence
from PySide6.QtWidgets import QLabel, QMainWindow, QMenu, QWidgetAction

from app.window.acting.action_row import ActionRow, Controls
from app.window.acting.actions import ACTIONS, MENUS, rows_of
from app.window.acting.key_card import key_text


class Menus(QObject):
    """Keeps the Qt actions and lets each be used only when it can do something."""

    def __init__(self, window: QMainWindow) -> None:
        super().__init__(window)
        self._controls: Controls | None = None
        self.actions: dict[str, QAction] = {row.name: self._make(row) for row in ACTIONS}
        for menu, sections in MENUS:
            qmenu = window.menuBar().addMenu(menu)
            qmenu.setToolTipsVisible(True)
            for section in sections:
                if len(sections) > 1:
                    qmenu.addAction(_heading(section, qmenu))
                qmenu.addActions([self.actions[row.name] for row in rows_of(section)])
        window.addActions(list(self.actions.values()))

    def connect_to(self, controls: Controls) -> None:
        """Say who carries the actions out."""
        self._controls = controls
        controls.desk.material_changed.connect(self.renew)
        controls.desk.state_changed.connect(self.renew)
        controls.drawing.mode_changed.connect(self.renew)
        controls.curve_drawing.mode_changed.connect(self.renew)
        controls.blurring.mode_changed.connect(self.renew)
        controls.comparisons.comparing.changed.connect(self.renew)
        self.renew()

    def bar_actions(self) -> dict[str, QAction]:
        """Short-named twins for the row under the picture, by the names of the actions."""
        return {row.name: self._twin(row) for row in ACTIONS if row.in_bar}

    def renew(self, *_changed: object) -> None:
        """Enable what can do something now, and name what undo would take back."""
        if self._controls is None:
            return
        desk = self._controls.desk
        for row in ACTIONS:
            self.actions[row.name].setEnabled(_usable(row, self._controls))
        review = desk.review
        for name, title, label in (
            ("undo", "Undo", review.undo_label if review else None),
            ("redo", "Redo", review.redo_label if review else None),
        ):
            self.actions[name].setText(f"{title}: {label}" if label else title)
            self.actions[name].setEnabled(label is not None)

    def _make(self, row: ActionRow) -> QAction:
        action = QAction(row.title, self)
        action.setShortcuts([QKeySequence(key) for key in row.keys])
        action.setAutoRepeat(row.name in ("step_on", "step_back", "undo", "redo"))
        action.setStatusTip(row.help)
        action.setToolTip(row.help)
        action.triggered.connect(self._runner(row))
        return action

    def _twin(self, row: ActionRow) -> QAction:
        action, twin = self.actions[row.name], QAction(row.in_bar, self)
        keys = key_text(row.keys)
        twin.setToolTip(f"{row.help}\nKey: {keys}" if keys else row.help)
        twin.setData(row.title)  # what the button is called where it cannot be seen
        twin.triggered.connect(action.trigger)
        twin.setEnabled(action.isEnabled())
        action.enabledChanged.connect(twin.setEnabled)
        return twin

    def _runner(self, row: ActionRow) -> Callable[[], None]:
        def run() -> None:
            if self._controls is not None:
                row.run(self._controls)

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


def _usable(row: ActionRow, controls: Controls) -> bool:
    desk = controls.desk
    material = desk.material
    comparing = controls.comparisons.comparing
    pens = (controls.drawing, controls.curve_drawing, controls.blurring, comparing.laying)
    return {
        "": True,
        "material": material.footage is not None or material.force is not None,
        "review": desk.review is not None,
        "footage": material.footage is not None,
        "force": material.force is not None,
        "drawing": any(pen.is_on for pen in pens),
        "comparison": comparing.is_shown,
    }[row.needs]
