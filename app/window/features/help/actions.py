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
        also="help command find guide filter everything",
    ),
    ActionRow(
        "guide",
        "Guide",
        "Help",
        (),
        "Read the coach's guide beside the bench.",
        lambda c: c[Help].show_guide(),
        also="manual documentation help instructions how",
    ),
    ActionRow(
        "tour",
        "Two-minute tour",
        "Help",
        (),
        "See what is where on the sample, step by step; leave it at any step.",
        lambda c: c[Help].show_tour(),
        also="introduction beginner first start learn tutorial",
    ),
    ActionRow(
        "about",
        "Version",
        "Help",
        (),
        "Say which version this is, and what it runs on.",
        lambda c: c[Help].tell_version(),
        also="about release number update",
    ),
)
