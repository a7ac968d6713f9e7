"""The notes in order of time, and the words of the one being written."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QEvent, QObject, QPoint, QSignalBlocker, QSize, Qt
from PySide6.QtGui import QAction, QKeyEvent, QTextCursor
from PySide6.QtWidgets import (
    QCheckBox,
    QComboBox,
    QHBoxLayout,
    QLabel,
    QListWidget,
    QListWidgetItem,
    QMenu,
    QPlainTextEdit,
    QVBoxLayout,
    QWidget,
)

from app.review.answers import how_it_went, ticked
from app.review.parts.notes import BODY_PARTS, PHASES, Note
from app.review.parts.state import ReviewState
from app.window.features.notes.notes import Notes
from app.window.session.review_session import ReviewSession
from app.window.widgets.clock_text import clock_text

NO_NOTES = "No notes yet.\nPress N at a moment worth a word."
ID_ROLE = Qt.ItemDataRole.UserRole


class NotesPanel(QWidget):
    """The list and, under it, the selected note."""

    def __init__(self, notes: Notes, session: ReviewSession, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._notes = notes
        self._list = QListWidget()
        self._list.setAccessibleName("Notes")
        self._list.setWordWrap(True)
        self._list.setTextElideMode(Qt.TextElideMode.ElideRight)
        self._list.setUniformItemSizes(False)
        self._empty = QLabel(NO_NOTES)
        self._empty.setProperty("role", "quiet")
        self._empty.setAlignment(Qt.AlignmentFlag.AlignCenter)
        self._words = QPlainTextEdit()
        self._words.setAccessibleName("Words of the note")
        self._words.setPlaceholderText(
            "What you see. Cue: what to think of. Drill: what to row. Esc when done."
        )
        self._words.setToolTip("Esc when done; Ctrl+Return goes on to the next finding.")
        self._words.setTabChangesFocus(True)
        self._words.setFixedHeight(74)
        self._phase = _tags("phase", PHASES)
        self._body = _tags("body part", BODY_PARTS)
        self._span = QCheckBox("whole stroke")
        self._span.setToolTip("The note speaks of its whole stroke, not of this moment alone.")
        self._when = QLabel("")
        self._when.setProperty("role", "clock")
        tags = QHBoxLayout()
        for widget in (self._when, self._phase, self._body, self._span):
            tags.addWidget(widget)
        tags.addStretch(1)
        column = QVBoxLayout(self)
        column.setContentsMargins(8, 4, 8, 6)
        column.setSpacing(4)
        column.addWidget(self._list, 1)
        column.addWidget(self._empty, 1)
        column.addWidget(self._words)
        column.addLayout(tags)
        self._words.textChanged.connect(lambda: notes.write(self._words.toPlainText()))
        self._words.installEventFilter(self)
        self._phase.activated.connect(self._tag)
        self._body.activated.connect(self._tag)
        self._span.clicked.connect(notes.span_stroke)
        self._list.itemClicked.connect(lambda item: notes.choose(item.data(ID_ROLE), go=True))
        notes.chosen.connect(self._show_in_hand)
        notes.writing_wanted.connect(self._begin_writing)
        session.state_changed.connect(self._take_state)
        self._fill(())
        self._show_in_hand()

    def offer(self, actions: Sequence[QAction]) -> None:
        """What the right button offers on a note of the list."""
        self._list.setContextMenuPolicy(Qt.ContextMenuPolicy.CustomContextMenu)
        self._menu = QMenu(self._list)
        self._menu.addActions(list(actions))
        self._list.customContextMenuRequested.connect(self._open_menu)

    def _open_menu(self, at: QPoint) -> None:
        item = self._list.itemAt(at)
        if item is not None:
            self._notes.choose(item.data(ID_ROLE), go=True)
            self._menu.popup(self._list.viewport().mapToGlobal(at))

    def put_under_words(self, widget: QWidget) -> None:
        """Give a part of its own a place between the words and the tags."""
        column = self.layout()
        assert isinstance(column, QVBoxLayout)
        column.insertWidget(column.indexOf(self._words) + 1, widget)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Escape ends the writing, Ctrl+Return goes on too; both give the keys to the bench."""
        if watched is self._words and isinstance(event, QKeyEvent):
            has_ctrl = bool(event.modifiers() & Qt.KeyboardModifier.ControlModifier)
            goes_on = has_ctrl and event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter)
            done = goes_on or event.key() == Qt.Key.Key_Escape
            if event.type() == QEvent.Type.ShortcutOverride:
                if done:
                    event.accept()
                    return True
                # Some desktops go to the end of a line with it: here it sends, also while typing.
                if has_ctrl and event.key() == Qt.Key.Key_E:
                    event.ignore()
                    return True
            if done and event.type() == QEvent.Type.KeyPress:
                self._words.clearFocus()
                if goes_on:
                    self._notes.go_on()
                return True
        return super().eventFilter(watched, event)

    def _take_state(self, state: ReviewState, before: ReviewState) -> None:
        if (state.notes, state.answers) != (before.notes, before.answers):
            self._fill(state.notes, state)
            self._show_in_hand()

    def _fill(self, notes: tuple[Note, ...], state: ReviewState | None = None) -> None:
        with QSignalBlocker(self._list):
            while self._list.count() > len(notes):
                self._list.takeItem(self._list.count() - 1)
            for row, note in enumerate(notes):
                if row == self._list.count():
                    self._list.addItem(QListWidgetItem())
                item = self._list.item(row)
                item.setText(_line(note, "" if state is None else _answered(state, note.id)))
                item.setData(ID_ROLE, note.id)
                item.setSizeHint(QSize(0, 40))
                item.setToolTip(note.text)
        self._list.setVisible(bool(notes))
        self._empty.setVisible(not notes)

    def _show_in_hand(self, _note_id: str = "") -> None:
        note = self._notes.selected
        for widget in (self._words, self._phase, self._body, self._span, self._when):
            widget.setVisible(note is not None)
        if note is None:
            self._list.setCurrentRow(-1)
            return
        for row in range(self._list.count()):
            if self._list.item(row).data(ID_ROLE) == note.id:
                self._list.setCurrentRow(row)
        # Setting the same words again would throw the cursor to the start while typing.
        if self._words.toPlainText() != note.text:
            with QSignalBlocker(self._words):
                self._words.setPlainText(note.text)
        self._when.setText(clock_text(note.video_s))
        self._phase.setCurrentText(note.phase or self._phase.itemText(0))
        self._body.setCurrentText(note.body_part or self._body.itemText(0))
        self._span.setChecked(note.end_s is not None)

    def _begin_writing(self) -> None:
        self._words.moveCursor(QTextCursor.MoveOperation.End)
        self._words.setFocus(Qt.FocusReason.ShortcutFocusReason)

    def _tag(self) -> None:
        self._notes.tag(_chosen(self._phase), _chosen(self._body))


def _tags(name: str, values: tuple[str, ...]) -> QComboBox:
    box = QComboBox()
    box.setAccessibleName(name)
    box.addItem(f"{name} …")
    box.addItems(values)
    return box


def _chosen(box: QComboBox) -> str:
    return box.currentText() if box.currentIndex() > 0 else ""


_DONE = {None: "", True: "✓ done", False: "○ not yet"}
_HOW = {"got": "✓ got it", "not_yet": "○ not yet", "hurts": "▲ it hurts"}


def _answered(state: ReviewState, note_id: str) -> str:
    """What the athlete says of a note."""
    return _HOW.get(how_it_went(state, note_id), _DONE[ticked(state, note_id)])


def _without_words(note: Note) -> str:
    return "(spoken)" if note.voice is not None else "(no words yet)"


def _line(note: Note, answered: str) -> str:
    """Two lines: when and what of, then the first words; a tick where the athlete did it."""
    tags = " · ".join(tag for tag in (note.phase, note.body_part) if tag)
    spoken = f"♪ {note.voice.heard_s:.0f} s" if note.voice is not None else ""
    head = "   ".join(part for part in (clock_text(note.video_s), tags, spoken, answered) if part)
    first = note.text.strip().splitlines()[0] if note.text.strip() else _without_words(note)
    return f"{head}\n{first}"
