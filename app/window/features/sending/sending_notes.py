"""Which notes are sent, in which order: ticks, and places changed by mouse or by keys."""

from __future__ import annotations

from PySide6.QtCore import QSignalBlocker, QSize, Qt, Signal
from PySide6.QtGui import QColor, QKeyEvent, QPainter, QPaintEvent
from PySide6.QtWidgets import (
    QAbstractItemView,
    QHBoxLayout,
    QLabel,
    QListWidget,
    QListWidgetItem,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from app.review.parts.notes import Note
from app.review.parts.state import ReviewState
from app.window.widgets import theme
from app.window.widgets.clock_text import clock_text

_ID = Qt.ItemDataRole.UserRole
_ROW_PX = 40


EMPTY = (
    "No note is written yet, so there is nothing to pick.\n\nClose this, go to a moment of the"
    " footage and press N to write a note or O to speak one; or keep a finding with K. Without"
    " notes the page shows the curves and numbers alone."
)


class _List(QListWidget):
    """A list whose rows also move with Alt and an arrow; empty, it says what to do."""

    moved = Signal(int)
    dropped = Signal()

    def sizeHint(self) -> QSize:
        """As low as two notes: it takes what room there is."""
        return QSize(super().sizeHint().width(), 2 * _ROW_PX)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Move the chosen row, or do as any list."""
        steps = {Qt.Key.Key_Up: -1, Qt.Key.Key_Down: 1}
        step = steps.get(Qt.Key(event.key()))
        if step is not None and event.modifiers() & Qt.KeyboardModifier.AltModifier:
            self.moved.emit(step)
            return
        super().keyPressEvent(event)

    def paintEvent(self, event: QPaintEvent) -> None:
        """Write into the empty room what to do."""
        super().paintEvent(event)
        if not self.count():
            painter = QPainter(self.viewport())
            painter.setPen(QColor(theme.QUIET))
            room = self.viewport().rect().adjusted(16, 12, -16, -12)
            flags = Qt.AlignmentFlag.AlignCenter | Qt.TextFlag.TextWordWrap
            painter.drawText(room, flags, EMPTY)

    def dropEvent(self, event: object) -> None:
        """Tell that rows have changed places."""
        super().dropEvent(event)  # type: ignore[arg-type]
        self.dropped.emit()


class NotesPicker(QWidget):
    """The notes of a review in the order they are sent; those without a tick stay here."""

    picked = Signal(tuple)  # ids in their order, () for all in the usual order

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._usual: tuple[str, ...] = ()
        self.list = _List()
        self.list.setAccessibleName("Notes to send")
        self.list.setDragDropMode(QAbstractItemView.DragDropMode.InternalMove)
        self.list.setWordWrap(True)
        self.list.setToolTip(
            "Tick what is sent (Space). Drag a note to another place, or move it with Alt+Up and "
            "Alt+Down."
        )
        self.said = QLabel("")
        self.said.setProperty("role", "quiet")
        self.said.setWordWrap(True)
        self.up = _button("Earlier", "Move the chosen note up (Alt+Up)")
        self.down = _button("Later", "Move the chosen note down (Alt+Down)")
        self.all = _button("All, usual order", "Send every note, in the order the page gives them")
        row = QHBoxLayout()
        for button in (self.up, self.down):
            row.addWidget(button)
        row.addStretch(1)
        row.addWidget(self.all)
        heading = QLabel("Notes that are sent")
        heading.setProperty("role", "heading")
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(heading)
        column.addWidget(self.list, 1)
        column.addWidget(self.said)
        column.addLayout(row)
        self.up.clicked.connect(lambda: self.move_by(-1))
        self.down.clicked.connect(lambda: self.move_by(1))
        self.all.clicked.connect(lambda: self.picked.emit(()))
        self.list.moved.connect(self.move_by)
        self.list.dropped.connect(self._tell)
        self.list.itemChanged.connect(self._tell)

    def show_notes(self, state: ReviewState, usual: tuple[str, ...]) -> None:
        """Show the notes of a review.

        Parameters
        ----------
        usual : ids of all notes in the order the page gives them by itself
        """
        self._usual = usual
        by_id = {note.id: note for note in state.notes}
        chosen = tuple(i for i in state.sending.notes if i in by_id) or (
            () if state.sending.notes else usual
        )
        rest = tuple(i for i in usual if i not in chosen)
        here = self.list.currentItem()
        current = None if here is None else here.data(_ID)
        with QSignalBlocker(self.list):
            self.list.clear()
            for place, id_ in enumerate((*chosen, *rest)):
                item = _item(by_id[id_], place + 1 if id_ in chosen else None)
                self.list.addItem(item)
                if id_ == current:
                    self.list.setCurrentItem(item)
            if self.list.currentRow() < 0 and self.list.count():
                self.list.setCurrentRow(0)
        self._say(len(chosen), len(by_id))

    def move_by(self, step: int) -> None:
        """Move the chosen note towards the start (-1) or the end (1)."""
        row = self.list.currentRow()
        if row < 0 or not 0 <= row + step < self.list.count():
            return
        with QSignalBlocker(self.list):
            item = self.list.takeItem(row)
            self.list.insertItem(row + step, item)
            self.list.setCurrentRow(row + step)
        self._tell()

    def _tell(self) -> None:
        items = [self.list.item(row) for row in range(self.list.count())]
        ticked = tuple(
            str(item.data(_ID)) for item in items if item.checkState() == Qt.CheckState.Checked
        )
        if not ticked:  # nothing named means all: the last tick stays
            with QSignalBlocker(self.list):
                self.list.currentItem().setCheckState(Qt.CheckState.Checked)
            self.said.setText("At least one note is sent; tick another one first.")
            return
        self.picked.emit(() if ticked == self._usual else ticked)

    def _say(self, sent: int, of: int) -> None:
        if not of:
            words = ""
        elif sent == of:
            words = f"All {of} notes are sent." if of > 1 else "The one note is sent."
        else:
            words = f"{sent} of {of} notes are sent; a note you write later needs a tick here."
        self.said.setText(words)
        self.said.setVisible(bool(words))
        for button in (self.up, self.down, self.all):
            button.setEnabled(of > 1)


def _item(note: Note, place: int | None) -> QListWidgetItem:
    lines = [" ".join(line.split()) for line in note.text.strip().splitlines()]
    words = " – ".join(filter(None, lines)) or ("(spoken)" if note.voice else "(no words yet)")
    tags = ", ".join(tag for tag in (note.phase, note.body_part) if tag)
    head = f"{place}.  " if place is not None else "not sent  "
    item = QListWidgetItem(f"{head}{clock_text(note.video_s)}  {tags}\n{words[:80]}")
    item.setData(_ID, note.id)
    item.setSizeHint(QSize(0, _ROW_PX))
    item.setToolTip(note.text[:1000])
    item.setFlags(
        Qt.ItemFlag.ItemIsEnabled
        | Qt.ItemFlag.ItemIsSelectable
        | Qt.ItemFlag.ItemIsUserCheckable
        | Qt.ItemFlag.ItemIsDragEnabled
    )
    item.setCheckState(Qt.CheckState.Unchecked if place is None else Qt.CheckState.Checked)
    return item


def _button(text: str, help_text: str) -> QPushButton:
    button = QPushButton(text)
    button.setToolTip(help_text)
    button.setAutoDefault(False)
    return button
