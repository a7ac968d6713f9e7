"""The cue and the drill of each finding, in the coach's words: for this review, or for all."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from PySide6.QtCore import QSignalBlocker, Qt
from PySide6.QtWidgets import (
    QDialog,
    QHBoxLayout,
    QLabel,
    QListWidget,
    QListWidgetItem,
    QPlainTextEdit,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from app.bundle.wording.note_text import ways_of, with_ways
from app.review.parts.findings import KeepFinding
from app.review.parts.notes import EditNote, Note
from app.review.parts.state import ReviewState
from app.submission.findings import words_of
from app.submission.my_defaults import REWORDED
from app.window.features.findings.findings import Findings
from app.window.session.review_session import ReviewSession
from app.window.widgets.for_all_row import ForAllRow
from app.window.widgets.scroll_frame import fit_dialog

if TYPE_CHECKING:
    from analysis.findings.catalogue import Entry
    from analysis.findings.finding import Finding

CODE_ROLE = Qt.ItemDataRole.UserRole
HEADS = {"cue": "Cue", "drill": "Drill"}
MINE = "◆ "
WORDS = (
    "What is typed here goes into this review's note, or holds in all your reviews "
    f"({MINE.strip()}). Notes written before keep their words."
)
USED = "These words are your defaults now: what you keep from now on begins with them."
FORGOTTEN = "The shipped words hold again; notes that were written keep theirs."
WRITTEN = "Written into this review's note."


class WordsDialog(QDialog):
    """Findings on the left, their ways out on the right.

    Parameters
    ----------
    findings : what was found; the chosen one stands in front
    """

    def __init__(
        self, session: ReviewSession, findings: Findings, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self.setWindowTitle("Cues and drills")
        self.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        self._session, self._findings = session, findings
        self.names = QListWidget()
        self.names.setAccessibleName("Findings")
        self.boxes = {key: _box(HEADS[key]) for key in REWORDED}
        self.here = QPushButton("Only in this review")
        self.here.setAutoDefault(False)
        self.here.setToolTip(
            "Write them into the finding's note; a finding that is not kept yet is kept with them"
        )
        self.for_all = ForAllRow("the words")
        self._lay_out()
        first = findings.selected or next(iter(findings.found), None)
        self._fill_names("" if first is None else first.code)
        self.names.currentItemChanged.connect(lambda *_rows: self._show())
        for box in self.boxes.values():
            box.textChanged.connect(self._show_ways_on)
        self.here.clicked.connect(self._write_here)
        self.for_all.use.clicked.connect(self._use_in_all)
        self.for_all.back.clicked.connect(self._back)
        self.for_all.forget.clicked.connect(self._forget)
        session.own.changed.connect(self._fill_anew)
        findings.changed.connect(self._show_ways_on)
        session.state_changed.connect(self._take_state)
        self._show()

    def _lay_out(self) -> None:
        words = QLabel(WORDS)
        words.setProperty("role", "quiet")
        words.setWordWrap(True)
        right = QVBoxLayout()
        for key, box in self.boxes.items():
            head = QLabel(HEADS[key])
            head.setProperty("role", "heading")
            right.addWidget(head)
            right.addWidget(box, 1)
        row = QHBoxLayout()
        row.addWidget(self.here)
        row.addStretch(1)
        right.addLayout(row)
        sides = QHBoxLayout()
        sides.addWidget(self.names, 2)
        sides.addLayout(right, 3)
        column = QVBoxLayout(self)
        column.addWidget(words)
        column.addLayout(sides, 1)
        column.addWidget(self.for_all)
        fit_dialog(self, 760, 460)

    @property
    def code(self) -> str:
        """Of the finding whose words are shown."""
        item = self.names.currentItem()
        return "" if item is None else str(item.data(CODE_ROLE))

    @property
    def said(self) -> dict[str, str]:
        """What stands in the boxes."""
        return {key: " ".join(box.toPlainText().split()) for key, box in self.boxes.items()}

    def _in_force(self) -> dict[str, Entry]:
        """What holds in all reviews."""
        return dict(words_of(self._session.submission.mine).entries)

    def _fill_names(self, chosen: str) -> None:
        reworded = self._session.submission.mine.reworded()
        with QSignalBlocker(self.names):
            self.names.clear()
            for code, entry in self._in_force().items():
                item = QListWidgetItem(f"{MINE if code in reworded else ''}{entry.title}")
                item.setData(CODE_ROLE, code)
                self.names.addItem(item)
                if code == chosen or self.names.currentRow() < 0:
                    self.names.setCurrentItem(item)

    def _fill_anew(self) -> None:
        self._fill_names(self.code)
        self._show_ways_on()

    def _take_state(self, state: ReviewState, before: ReviewState) -> None:
        if (state.notes, state.decisions) != (before.notes, before.decisions):
            self._show()

    def _show(self) -> None:
        """Show what the review's note says, else what holds in all."""
        note = self._note()
        shown = self._of_all() if note is None else ways_of(note.text)
        for key, box in self.boxes.items():
            with QSignalBlocker(box):
                box.setPlainText(shown[key])
        self._show_ways_on()

    def _show_ways_on(self) -> None:
        note, said, of_all = self._note(), self.said, self._of_all()
        has_mine = self.code in self._session.submission.mine.reworded()
        in_note = None if note is None else ways_of(note.text)
        whose = "as you settled them for all reviews" if has_mine else "the shipped ones"
        self.here.setEnabled(said != in_note and (note is not None or self._finding() is not None))
        self.for_all.show_state(
            said != of_all,
            has_mine,
            said != of_all,
            f"These words are {whose}." if said == of_all else "These words are of this review.",
        )

    def _of_all(self) -> dict[str, str]:
        entry = self._in_force()[self.code]
        return {key: " ".join(str(getattr(entry, key)).split()) for key in REWORDED}

    def _finding(self) -> Finding | None:
        return next((f for f in self._findings.found if f.code == self.code), None)

    def _note(self) -> Note | None:
        state = self._session.state
        kept = {d.code: d.note_id for d in state.decisions if d.kept}
        return next((n for n in state.notes if n.id == kept.get(self.code)), None)

    def _write_here(self) -> None:
        from app.review.finding_notes import finding_note

        note, finding, said = self._note(), self._finding(), self.said
        if note is not None:
            self._session.do(EditNote(note.id, text=with_ways(note.text, said)))
        elif finding is not None:
            new = finding_note(finding)
            note = replace(new, text=with_ways(new.text, said))
            self._session.do(KeepFinding(self.code, note))
        self.for_all.said.setText(WRITTEN)

    def _use_in_all(self) -> None:
        code, said = self.code, self.said
        self._session.own.change(lambda mine: mine.with_words(code, said), USED)

    def _back(self) -> None:
        """Put what holds in all into the boxes, and into the note where there is one."""
        of_all, note = self._of_all(), self._note()
        for key, box in self.boxes.items():
            with QSignalBlocker(box):
                box.setPlainText(of_all[key])
        if note is not None and ways_of(note.text) != of_all:
            self._session.do(EditNote(note.id, text=with_ways(note.text, of_all)))
        self._show_ways_on()

    def _forget(self) -> None:
        code = self.code
        self._session.own.change(
            lambda mine: mine.with_words(code, dict.fromkeys(REWORDED)), FORGOTTEN
        )


def _box(name: str) -> QPlainTextEdit:
    box = QPlainTextEdit()
    box.setAccessibleName(name)
    box.setTabChangesFocus(True)
    box.setMinimumHeight(44)
    return box
