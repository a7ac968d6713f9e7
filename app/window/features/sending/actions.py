"""The actions of sending."""

from __future__ import annotations

from app.window.actions.action_row import ActionRow
from app.window.features.sending.sending import Sending

ACTIONS: tuple[ActionRow, ...] = (
    ActionRow(
        "send_panel",
        "Send …",
        "Feedback bundle",
        ("Ctrl+E",),
        "Three things to check, a look at what goes out, and one button that writes it.",
        lambda c: c[Sending].show_check(),
        needs="review",
        in_bar="Send",
        also=(
            "to athlete share mail email export publish report whatsapp upload cloud message phone"
        ),
        first_for="export share mail email report",
    ),
    ActionRow(
        "send_plan",
        "Change what goes out …",
        "Feedback bundle",
        (),
        "Pick and order the notes, write the words around them, settle language and quality.",
        lambda c: c[Sending].show_panel(),
        needs="review",
        also=(
            "notes order words template logo quality language originals german french "
            "homework plan session next"
        ),
    ),
    ActionRow(
        "send",
        "Write the feedback bundle",
        "Feedback bundle",
        (),
        "Write what the athlete gets, as a folder beside the review.",
        lambda c: c[Sending].ask_and_write(),
        needs="review",
        also="to athlete share mail email export report save folder bundle",
        first_for="export bundle",
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
