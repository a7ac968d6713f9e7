"""The actions of notes."""

from __future__ import annotations

from app.window.actions.action_row import ActionRow
from app.window.features.notes.notes import Notes

ACTIONS: tuple[ActionRow, ...] = (
    ActionRow(
        "note",
        "Note here",
        "Note",
        ("N",),
        "Pin a note to this moment and type; Esc when done. Playing goes on.",
        lambda c: c[Notes].drop(),
        needs="review",
        in_bar="Note",
        also="comment remark write bookmark marker tag",
    ),
    ActionRow(
        "delete_note",
        "Delete the note",
        "Note",
        ("Delete",),
        "Delete the chosen note.",
        lambda c: c[Notes].delete(),
        needs="review",
        also="remove",
    ),
)
