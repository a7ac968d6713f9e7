"""The actions of the window itself."""

from __future__ import annotations

from PySide6.QtWidgets import QMainWindow

from app.window.actions.action_row import ActionRow
from app.window.actions.appearance import DARK, LIGHT, SYSTEM, Appearance
from app.window.actions.layout import Layout


def _appearance(choice: str, title: str, help_text: str) -> ActionRow:
    return ActionRow(
        f"appearance_{choice}",
        title,
        "Appearance",
        (),
        help_text,
        lambda c: c[Appearance].choose(choice),
        also="theme colours colors dark light night day mode",
        is_on=lambda c: c[Appearance].choice == choice,
    )


WINDOW_ACTIONS: tuple[ActionRow, ...] = (
    ActionRow(
        "large_curve",
        "Large curve",
        "View",
        ("F5",),
        "Give the curve the lower half, under the picture; again for its place beside it.",
        lambda c: c[Layout].toggle_large_curve(),
        needs="strokes",
        also="bigger enlarge graph chart force fullscreen timeline",
        is_on=lambda c: Layout in c and c[Layout].has_large_curve,
    ),
    _appearance(
        SYSTEM, "As the system", "Light or dark as the system is set, also when it changes."
    ),
    _appearance(DARK, "Dark", "A dark bench, on which the picture reads best."),
    _appearance(LIGHT, "Light", "A light bench, for a bright room."),
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
