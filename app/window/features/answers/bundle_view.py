"""What somebody's bundle says: its title, notes and answers, and nothing of it is run or opened."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QDialog, QDialogButtonBox, QPlainTextEdit, QVBoxLayout, QWidget

from app.review.parts.answers import first_things_first, hurts
from app.window.features.answers.answers import Answers
from app.window.features.answers.answers_panel import HOW, PAIN
from app.window.widgets.clock_text import clock_text

if TYPE_CHECKING:
    from app.bundle.read_back import BundleRecord

OPEN_DONE = {True: "✓", False: "○"}


class BundleView(QDialog):
    """The record of a bundle as plain text."""

    def __init__(self, record: BundleRecord, answers: Answers, parent: QWidget) -> None:
        super().__init__(parent)
        self.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        self.setWindowTitle("What this bundle says")
        self.resize(620, 520)
        self._words = QPlainTextEdit()
        self._words.setReadOnly(True)
        self._words.setPlainText(record_text(record))
        self._words.setAccessibleName("What the bundle says")
        buttons = QDialogButtonBox(QDialogButtonBox.StandardButton.Close)
        buttons.rejected.connect(self.close)
        found = record.answers
        if found is not None:
            keep = buttons.addButton("Keep the answers", QDialogButtonBox.ButtonRole.ActionRole)
            keep.clicked.connect(lambda: answers.keep(found))
        column = QVBoxLayout(self)
        column.addWidget(self._words, 1)
        column.addWidget(buttons)


def record_text(record: BundleRecord) -> str:
    """The record as it is read: title, athlete, notes in the page's order, answers, remarks."""
    title = record.title or "(no title)"
    lines = [title if not record.athlete else f"{title}, for {record.athlete}"]
    if record.draft:
        lines.append("A draft that no coach had seen.")
    lines.append("")
    for note in record.notes:
        moment = "" if note.video_s is None else clock_text(note.video_s)
        head = "   ".join(part for part in (f"{note.number}.", moment, note.phase) if part)
        lines += [head, note.text or "(no words)", ""]
    if not record.notes:
        lines += ["It holds no notes.", ""]
    if record.answers is not None:
        numbers = {note.id: note.number for note in record.notes}
        lines.append("Answers of the athlete")
        lines += [PAIN] if hurts(record.answers) else []
        for tick in first_things_first(record.answers.ticks):
            number = numbers.get(tick.note_id)
            what = "a note that is not in it" if number is None else f"note {number}"
            sign = HOW.get(tick.how, OPEN_DONE[tick.done])
            lines.append(f"{sign} {what}" + (f" “{tick.words}”" if tick.words else ""))
        lines += [f"{t.id}: {t.answer}" for t in record.answers.self_test]
        lines += [f"“{record.answers.comment}”"] if record.answers.comment else []
        lines.append("")
    return "\n".join((*lines, *record.remarks)).strip()
