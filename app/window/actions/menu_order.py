"""The menus in the order of the work, each with its sections; the features fill the sections."""

from __future__ import annotations

from collections.abc import Iterable

from app.window.actions.action_row import ActionRow

MENUS: tuple[tuple[str, tuple[str, ...]], ...] = (
    ("Submission", ("Open", "The review's file", "Changes", "Settings", "Appearance")),
    ("Move", ("Play", "Step", "Trace")),
    ("Picture", ("View", "Light", "How long?", "Stroke strip", "Body")),
    ("Force", ("Line-up", "Signals and sections", "Findings", "Target")),
    (
        "Compare",
        ("Two strokes", "The two pictures", "Timing", "References and self-test"),
    ),
    (
        "Draw",
        (
            "Where?",
            "What angle? How far?",
            "Selected mark",
            "On the curve",
        ),
    ),
    ("Note", ("Note", "Voice", "Walkthrough")),
    ("Send", ("Feedback bundle", "What comes back", "Hide faces")),
    ("Help", ("Help",)),
)


def in_order(rows: Iterable[ActionRow]) -> tuple[ActionRow, ...]:
    """The rows in the order of the menus; within a section they keep the order they come in."""
    places = {section: i for i, section in enumerate(s for _menu, of in MENUS for s in of)}
    return tuple(sorted(rows, key=lambda row: places[row.section]))


def heading_of(row: ActionRow) -> str:
    """The menu and the section of it an action stands in."""
    menu = menu_of(row)
    return menu if menu == row.section else f"{menu}: {row.section}"


def menu_of(row: ActionRow) -> str:
    """The menu an action hangs in."""
    return next(menu for menu, sections in MENUS if row.section in sections)
