"""What the athlete answered, beside the notes: ticks, comments, answers to questions."""

from __future__ import annotations

from datetime import datetime

from PySide6.QtCore import Qt
from PySide6.QtWidgets import (
    QFrame,
    QHBoxLayout,
    QLabel,
    QScrollArea,
    QToolButton,
    QVBoxLayout,
    QWidget,
)

from app.review.answers import belongs, harmless
from app.review.parts.answers import (
    GOT,
    HURTS,
    NOT_YET,
    AthleteAnswers,
    first_things_first,
    hurts,
)
from app.review.parts.state import ReviewState
from app.window.features.answers.answers import Answers
from app.window.session.review_session import ReviewSession

EMPTY = (
    "Nothing came back yet.\n"
    "Drop the file the athlete's page saved here, or copy the text it shared and choose "
    "Paste an athlete's answers in the Send menu."
)
PAIN = (
    "▲ The athlete says that it hurts. Pain is a reason to stop: a licensed clinician comes before "
    "any more rowing. This bench does not diagnose."
)
HOW = {GOT: "✓ got it:", NOT_YET: "○ not yet:", HURTS: "▲ it hurts:"}
APART = "▲ These belong to another review. They are kept, apart from the notes."
DONE, OPEN = "✓", "○"
_LONGEST_LINE = 90


class AnswersPanel(QScrollArea):
    """Every file of answers, the newest first, strange ones last; all of it as plain text."""

    def __init__(self, answers: Answers, session: ReviewSession) -> None:
        super().__init__()
        self._answers = answers
        self._session = session
        self.setWidgetResizable(True)
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setAccessibleName("Answers of the athlete")
        session.state_changed.connect(self._take_state)
        self._fill(session.state)

    def _take_state(self, state: ReviewState, before: ReviewState) -> None:
        if state.answers != before.answers or (state.answers and state.notes != before.notes):
            self._fill(state)

    def _fill(self, state: ReviewState) -> None:
        inner = QWidget()
        column = QVBoxLayout(inner)
        column.setContentsMargins(10, 6, 10, 6)
        column.setSpacing(4)
        if not state.answers:
            empty = plain(EMPTY)
            empty.setProperty("role", "quiet")
            empty.setAlignment(Qt.AlignmentFlag.AlignCenter)
            column.addWidget(empty, 1)
        newest = list(reversed(state.answers))
        for answers in sorted(newest, key=lambda a: not belongs(a, state)):
            self._add(column, answers, state)
        if state.answers:
            column.addStretch(1)
        self.setWidget(inner)

    def _add(self, column: QVBoxLayout, answers: AthleteAnswers, state: ReviewState) -> None:
        head = QHBoxLayout()
        when = plain(date_text(answers.received))
        when.setStyleSheet("font-weight: bold;")
        remove = QToolButton()
        remove.setText("Remove")
        remove.setToolTip("Take these answers out of the review; undo brings them back.")
        remove.clicked.connect(lambda: self._answers.remove(answers.id))
        head.addWidget(when, 1)
        head.addWidget(remove)
        column.addLayout(head)
        if not belongs(answers, state):
            column.addWidget(plain(APART))
        if hurts(answers):
            column.addWidget(plain(PAIN))
        for line in lines_of(answers, state):
            column.addWidget(plain(line))
        column.addSpacing(10)


def lines_of(answers: AthleteAnswers, state: ReviewState) -> list[str]:
    """What a file of answers says, line by line, each note by its first words; pain first."""
    lines = []
    words = {note.id: note.text for note in state.notes}
    for tick in first_things_first(answers.ticks):
        first = (words.get(tick.note_id, "").strip().splitlines() or ["(a note without words)"])[0]
        if tick.note_id not in words:
            first = f"(a note that is not in this review: {tick.note_id[:12]})"
        short = first if len(first) <= _LONGEST_LINE else first[: _LONGEST_LINE - 2] + " …"
        sign = HOW.get(tick.how, DONE if tick.done else OPEN)
        lines.append(f"{sign} {short}" + (f" “{tick.words}”" if tick.words else ""))
    if answers.comment:
        lines.insert(sum(tick.how == HURTS for tick in answers.ticks), f"“{answers.comment}”")
    lines += [f"{test.id}: {test.answer}" for test in answers.self_test]
    return lines or ["(nothing was ticked or written)"]


def date_text(received: str) -> str:
    """When it came, on the coach's own clock."""
    try:
        at = datetime.fromisoformat(received).astimezone()
    except (ValueError, OverflowError, OSError):
        return harmless(received[:40]) or "at an unknown time"
    return f"{at.day} {at:%B %Y}, {at:%H:%M}"


def plain(text: str) -> QLabel:
    """A label that takes nothing in its words for markup."""
    label = QLabel()
    label.setTextFormat(Qt.TextFormat.PlainText)
    label.setText(text)
    label.setWordWrap(True)
    label.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
    return label
