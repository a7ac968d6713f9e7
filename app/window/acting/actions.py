"""The one table of actions. Menus, keys, the key card and the search are all made from it."""

from __future__ import annotations

from app.window.acting.action_row import ActionRow
from app.window.acting.actions_blur import BLUR
from app.window.acting.actions_comparing import COMPARE
from app.window.acting.actions_curve import CURVE
from app.window.acting.actions_drawing import DRAW
from app.window.acting.actions_looking import MOVE, PICTURE, TRACE
from app.window.acting.actions_review import (
    CLOSE,
    EDIT,
    FINDING,
    HELP,
    KEEP,
    NOTE,
    SUBMISSION,
    TARGET,
)
from app.window.acting.actions_signals import SIGNALS
from app.window.acting.actions_voice import VOICE
from app.window.acting.actions_walkthrough import WALKTHROUGH

# The menus in the order of the work, each with its sections.
MENUS: tuple[tuple[str, tuple[str, ...]], ...] = (
    ("Submission", ("Take in", "The review's file", "Changes", "Bench")),
    ("Move", ("Play", "Step", "Trace")),
    ("Picture", ("View", "Light", "Time", "Stroke strip")),
    ("Force", ("Line-up", "Signals", "Findings", "Target")),
    (
        "Compare",
        ("Two strokes", "Pictures together", "One clock", "References and self-test"),
    ),
    ("Draw", ("On the picture", "Mark in hand", "On the curve")),
    ("Note", ("Note", "Voice", "Walkthrough")),
    ("Send", ("Feedback bundle", "What comes back", "Hide faces")),
    ("Help", ("Help",)),
)

_ROWS = (
    *SUBMISSION,
    *KEEP,
    *EDIT,
    *MOVE,
    *PICTURE,
    *DRAW,
    *BLUR,
    *COMPARE,
    *TRACE,
    *SIGNALS,
    *FINDING,
    *NOTE,
    *VOICE,
    *WALKTHROUGH,
    *TARGET,
    *CURVE,
    *HELP,
    *CLOSE,
)


def rows_of(section: str) -> tuple[ActionRow, ...]:
    """The actions of one section, in its order."""
    return tuple(row for row in _ROWS if row.section == section)


# In the order of the menus.
ACTIONS: tuple[ActionRow, ...] = tuple(
    row for _menu, sections in MENUS for section in sections for row in rows_of(section)
)


def menu_of(row: ActionRow) -> str:
    """The menu an action hangs in."""
    return next(menu for menu, sections in MENUS if row.section in sections)
