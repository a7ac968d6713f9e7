"""The actions of the window itself."""

from __future__ import annotations

from PySide6.QtWidgets import QMainWindow

from app.window.actions.action_row import ActionRow

WINDOW_ACTIONS: tuple[ActionRow, ...] = (
    ActionRow(
        "quit",
        "Quit",
        "Settings",
        ("Ctrl+Q",),
        "Close the window; where something is not saved, it asks first.",
        lambda c: c[QMainWindow].close(),
        also="exit close leave",
    ),
)
