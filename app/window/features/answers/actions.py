"""The actions of what comes back."""

from __future__ import annotations

from app.window.actions.action_row import ActionRow
from app.window.features.answers.answers import Answers

ACTIONS: tuple[ActionRow, ...] = (
    ActionRow(
        "answers",
        "Open an athlete's answers …",
        "What comes back",
        (),
        "Take in what an athlete's page saved, or look into a bundle somebody sent.",
        lambda c: c[Answers].choose(),
        also="reply feedback response received import",
    ),
    ActionRow(
        "paste_answers",
        "Paste an athlete's answers",
        "What comes back",
        (),
        "Take in the text that an athlete's page shared, copied from a message.",
        lambda c: c[Answers].paste(),
        also="clipboard message chat text reply feedback whatsapp",
    ),
)
