"""The tabs beside the picture: findings, notes, answers, and what others stand there."""

from __future__ import annotations

from PySide6.QtWidgets import QTabWidget

from app.window.desk import Desk
from app.window.force.findings import Findings
from app.window.force.findings_panel import FindingsPanel
from app.window.notes.notes_panel import Notes, NotesPanel
from app.window.sending.answers import Answers
from app.window.sending.answers_panel import AnswersPanel

_SMALLER = 0.92  # so that five names with their counts fit side by side


class SideTabs(QTabWidget):
    """Comes forward with what is asked for; each tab says how much there is."""

    def __init__(
        self, desk: Desk, findings: Findings, notes: Notes, panel: NotesPanel, answers: Answers
    ) -> None:
        super().__init__()
        self._desk, self._findings, self._notes = desk, findings, notes
        self._panel = panel
        self.setDocumentMode(True)
        font = self.tabBar().font()
        font.setPointSizeF(_SMALLER * font.pointSizeF())
        self.tabBar().setFont(font)
        self.addTab(FindingsPanel(findings), "Findings")
        self.addTab(panel, "Notes")
        self.answers_panel = AnswersPanel(answers, desk)
        self.addTab(self.answers_panel, "Answers")
        self.setTabVisible(2, False)  # until something came back, or is looked for
        findings.changed.connect(self._name)
        desk.state_changed.connect(lambda _state, _before: self._name())
        notes.writing_wanted.connect(lambda _id: self.setCurrentWidget(panel))
        notes.look_wanted.connect(lambda: self.setCurrentWidget(panel))
        answers.look_wanted.connect(self._show_answers)

    def go_to_note(self, note_id: str) -> None:
        """Show a note and its moment."""
        self.setCurrentWidget(self._panel)
        self._notes.choose(note_id, go=True)

    def _show_answers(self) -> None:
        self.setTabVisible(2, True)
        self.setCurrentWidget(self.answers_panel)

    def _name(self) -> None:
        faults = sum(1 for finding in self._findings.found if not finding.good)
        state = self._desk.state
        if state.answers:
            self.setTabVisible(2, True)
        counts = (faults, len(state.notes), len(state.answers))
        for i, (name, count) in enumerate(
            zip(("Findings", "Notes", "Answers"), counts, strict=True)
        ):
            self.setTabText(i, f"{name} {count}" if count else name)
