"""The actions of help."""

from __future__ import annotations

from app.window.actions.action_row import ActionRow
from app.window.features.help.help import Help

ACTIONS: tuple[ActionRow, ...] = (
    ActionRow(
        "keys",
        "Keyboard shortcuts",
        "Help",
        ("F1",),
        "Show every action with its key.",
        lambda c: c[Help].show_keys(),
        also="shortcuts keyboard help guide manual",
    ),
    ActionRow(
        "search",
        "Search the actions",
        "Help",
        ("Ctrl+K",),
        "Type a few letters of what you want to do.",
        lambda c: c[Help].search(),
        also="help command find guide",
    ),
)
