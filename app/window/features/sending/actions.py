"""The actions of sending."""

from __future__ import annotations

from app.window.actions.action_row import ActionRow
from app.window.features.sending.sending import Sending

ACTIONS: tuple[ActionRow, ...] = (
    ActionRow(
        "send_panel",
        "Send …",
        "Feedback bundle",
        ("Ctrl+Shift+E",),
        "Pick the notes, write the words around them, see the size, look at it, and write it.",
        lambda c: c[Sending].show_panel(),
        needs="review",
        also="to athlete share mail email export publish report",
    ),
    ActionRow(
        "send",
        "Write the feedback bundle",
        "Feedback bundle",
        ("Ctrl+E",),
        "Write what the athlete gets, as a folder beside the review.",
        lambda c: c[Sending].ask_and_write(),
        needs="review",
        also="to athlete share mail email export report save folder",
    ),
    ActionRow(
        "send_zip",
        "Write the bundle as one zip file",
        "Feedback bundle",
        (),
        "The same bundle packed for sending.",
        lambda c: c[Sending].ask_and_write("zip"),
        needs="review",
        also="to athlete share mail email export archive compress",
    ),
    ActionRow(
        "send_page",
        "Write the bundle as one web page",
        "Feedback bundle",
        (),
        "The same bundle as a single file that opens anywhere.",
        lambda c: c[Sending].ask_and_write("page"),
        needs="review",
        also="to athlete share mail email export html print pdf",
    ),
)
