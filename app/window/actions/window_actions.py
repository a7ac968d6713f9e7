"""The actions of the window itself."""

from __future__ import annotations

from PySide6.QtWidgets import QMainWindow

from app.window.actions.action_row import ActionRow
from app.window.actions.layout import Layout

WINDOW_ACTIONS: tuple[ActionRow, ...] = (
    ActionRow(
        "large_curve",
        "Large curve",
        "View",
        ("F5",),
        "Give the curve the lower half, under the picture; again for its place beside it.",
        lambda c: c[Layout].toggle_large_curve(),
        needs="force",
        also="bigger enlarge graph chart force",
    ),
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
