"""Which comparison is selected, and its title: one field to choose from and to write in."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QEvent, QSignalBlocker, Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QComboBox

TIP = (
    "The comparisons this review keeps; write here to give this one another title.\n"
    "Key: F3, its title"
)
UNTITLED = "Two strokes"


class TitleChoice(QComboBox):
    """Return keeps a title, Escape leaves it as it was; after a choice the keys are the bench's."""

    picked = Signal(str)  # id of a comparison
    worded = Signal(str)  # another title for the selected one

    def __init__(self) -> None:
        super().__init__()
        self._kept = ""
        self.setAccessibleName("Comparison, and its title")
        self.setEditable(True)
        self.setInsertPolicy(QComboBox.InsertPolicy.NoInsert)
        self.setCompleter(None)  # type: ignore[arg-type]  # a title is written, not searched
        self.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
        self.setToolTip(TIP)
        self.activated.connect(self._pick)
        line = self.lineEdit()
        assert line is not None
        self._line = line
        line.editingFinished.connect(self._end)

    def show_choices(self, choices: Sequence[tuple[str, str]], selected: str) -> None:
        """Show comparisons, unless a hand is writing.

        Parameters
        ----------
        choices : id and title of each
        selected : id of the one on screen, "" for none
        """
        ids = [id_ for id_, _title in choices]
        at = ids.index(selected) if selected in ids else -1
        self._kept = choices[at][1] if at >= 0 else ""
        writing = self._line.hasFocus() and self._line.isModified() and at >= 0
        words = self._line.text()
        with QSignalBlocker(self):
            self.clear()
            for id_, title in choices:
                self.addItem(title or UNTITLED, id_)
            self.setCurrentIndex(at)
        self.setEnabled(bool(choices))
        self._line.setReadOnly(at < 0)
        self._line.setPlaceholderText("Choose a comparison" if at < 0 else "A title")
        if writing:
            self._line.setText(words)
            self._line.setModified(True)
        else:
            self._line.setText(self._kept)
            self._line.setCursorPosition(0)
        self.setToolTip(f"{self._kept}\n\n{TIP}" if self._kept else TIP)  # it may be cut off

    def write(self) -> None:
        """Put the hand into the title."""
        self.setFocus(Qt.FocusReason.ShortcutFocusReason)
        self._line.selectAll()

    def event(self, event: QEvent) -> bool:
        """Escape is this field's while a hand writes in it, before it leaves a mode."""
        is_key = isinstance(event, QKeyEvent) and event.type() == QEvent.Type.ShortcutOverride
        if is_key and isinstance(event, QKeyEvent) and event.key() == Qt.Key.Key_Escape:
            event.accept()
            return True
        return super().event(event)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Escape leaves the title as it was; Return keeps it."""
        if event.key() == Qt.Key.Key_Escape:
            self._line.setText(self._kept)
            self.clearFocus()
        elif event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self.clearFocus()
        else:
            super().keyPressEvent(event)

    def _pick(self, row: int) -> None:
        self.clearFocus()
        self.picked.emit(str(self.itemData(row)))

    def _end(self) -> None:
        words = self._line.text().strip()
        if self.currentIndex() >= 0 and words != self._kept:
            self._kept = words
            self._line.setModified(False)
            self.worded.emit(words)
