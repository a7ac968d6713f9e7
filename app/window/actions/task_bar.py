"""The six things a coach does, as the first row of the window."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from PySide6.QtCore import Qt
from PySide6.QtGui import QAction
from PySide6.QtWidgets import QHBoxLayout, QMenu, QToolButton, QWidget

from app.window.widgets.overflow_tool_bar import OverflowToolBar

# By the name of an action, or of a section whose actions it offers; the number says who gives way
# first where the window is narrow.
TASKS = (
    ("draw", 0), ("speak", 0), ("compare", 2), ("Target", 4), ("record_walk", 3), ("send_panel", 0),
)  # fmt: skip
FIRST = "send_panel"  # what all of it leads to


class TaskBar(QWidget):
    """Draw, speak, compare, set a target, walk through, send; and whose review it is."""

    def __init__(
        self,
        actions: Mapping[str, QAction],
        sections: Mapping[str, Sequence[QAction]],
        corner: Sequence[QWidget],
    ) -> None:
        super().__init__()
        self.row = OverflowToolBar()
        self.row.row.setSpacing(4)
        for name, gives in TASKS:
            if name in actions:
                button = _button(actions[name])
                if name == FIRST:
                    button.setProperty("role", "first")
                self.row.put(button, gives, str(actions[name].data()))
            elif name in sections:
                self.row.put(_menu_button(name, sections[name]), gives, name)
        self.row.stretch()
        whole = QHBoxLayout(self)
        whole.setContentsMargins(0, 2, 0, 2)
        whole.addWidget(self.row, 1)
        for widget in corner:
            whole.addWidget(widget)


def _button(action: QAction) -> QToolButton:
    button = QToolButton()
    button.setDefaultAction(action)
    button.setAccessibleName(str(action.data()))
    # The keys do all of this; a focused button would swallow the space bar.
    button.setFocusPolicy(Qt.FocusPolicy.NoFocus)
    return button


def _menu_button(name: str, actions: Sequence[QAction]) -> QToolButton:
    button = QToolButton()
    button.setText(name)
    button.setAccessibleName(name)
    button.setToolTip(" · ".join(action.text().rstrip(" …") for action in actions))
    menu = QMenu(button)
    menu.addActions(list(actions))
    button.setMenu(menu)
    button.setPopupMode(QToolButton.ToolButtonPopupMode.InstantPopup)
    button.setFocusPolicy(Qt.FocusPolicy.NoFocus)

    def follow() -> None:
        button.setEnabled(any(action.isEnabled() for action in actions))

    for action in actions:
        action.enabledChanged.connect(lambda _on: follow())
    follow()
    return button
