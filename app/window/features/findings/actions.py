"""The actions of the findings."""

from __future__ import annotations

from PySide6.QtWidgets import QMainWindow

from app.window.actions.action_row import ActionRow
from app.window.actions.context import ActionContext
from app.window.features.findings.findings import Findings
from app.window.session.review_session import ReviewSession


def _show_thresholds(c: ActionContext) -> None:
    from app.window.features.findings.thresholds import ThresholdsDialog

    ThresholdsDialog(c[ReviewSession], c[QMainWindow]).show()


def _show_words(c: ActionContext) -> None:
    from app.window.features.findings.words_dialog import WordsDialog

    WordsDialog(c[ReviewSession], c[Findings], c[QMainWindow]).show()


ACTIONS: tuple[ActionRow, ...] = (
    ActionRow(
        "next_finding",
        "Next finding",
        "Findings",
        ("F",),
        "Select the next finding: its number on the curve, its moment in the picture.",
        lambda c: c[Findings].choose_next(1),
        needs="strokes",
        also="fault problem error issue mistake",
    ),
    ActionRow(
        "previous_finding",
        "Previous finding",
        "Findings",
        (),
        "Select the finding before.",
        lambda c: c[Findings].choose_next(-1),
        needs="strokes",
    ),
    ActionRow(
        "keep_finding",
        "Keep the finding",
        "Findings",
        ("K",),
        "Make the selected finding a note with its cue and drill.",
        lambda c: c[Findings].keep(),
        needs="strokes",
        also="accept agree confirm",
    ),
    ActionRow(
        "reword_finding",
        "Keep and reword the finding",
        "Findings",
        ("E",),
        "Make the selected finding a note and type your own words at once.",
        lambda c: c[Findings].reword(),
        needs="strokes",
        also="edit change",
    ),
    ActionRow(
        "drop_finding",
        "Drop the finding",
        "Findings",
        ("X",),
        "Drop the selected finding, or open it again; it does not reach the athlete.",
        lambda c: c[Findings].drop(),
        needs="strokes",
        also="reject ignore dismiss delete",
    ),
    ActionRow(
        "thresholds",
        "Thresholds …",
        "Findings",
        (),
        "See and change the numbers that the findings are held against.",
        lambda c: _show_thresholds(c),
        needs="review",
        also="limits sensitivity settings my defaults criteria rules",
    ),
    ActionRow(
        "words",
        "Cues and drills …",
        "Findings",
        (),
        "Put a finding's cue and drill into your words, in this review or in all.",
        lambda c: _show_words(c),
        needs="review",
        also="wording text my defaults template reword homework plan session",
    ),
)
