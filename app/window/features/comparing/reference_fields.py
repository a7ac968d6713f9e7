"""The fields of what is remembered of a reference stroke: name, view, rate, level, notes."""

from __future__ import annotations

from dataclasses import replace
from typing import cast

from PySide6.QtCore import QEvent, QObject, QSignalBlocker, Signal
from PySide6.QtWidgets import (
    QComboBox,
    QDoubleSpinBox,
    QFormLayout,
    QLineEdit,
    QPlainTextEdit,
    QWidget,
)

from app.review.parts.reference import VIEWS, Reference, View

RATE_SPM = (5.0, 80.0)  # wider than anybody rows


class ReferenceFields(QWidget):
    """A form over one stroke; `edited` comes when a field is left with other words in it."""

    edited = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._of: Reference | None = None
        self.name = QLineEdit()
        self.view = QComboBox()
        for view in VIEWS:
            self.view.addItem(view_words(view), view)
        self.rate = QDoubleSpinBox()
        self.rate.setRange(*RATE_SPM)
        self.rate.setDecimals(1)
        self.rate.setSuffix(" / min")
        self.level = QLineEdit()
        self.level.setPlaceholderText("in your own words: club, junior, first year …")
        self.notes = QPlainTextEdit()
        self.notes.setPlaceholderText("What to look at in this stroke")
        self.notes.setTabChangesFocus(True)
        self.notes.installEventFilter(self)
        form = QFormLayout(self)
        form.setContentsMargins(0, 0, 0, 0)
        for title, field in (
            ("Name", self.name),
            ("Seen", self.view),
            ("Stroke rate", self.rate),
            ("Level", self.level),
            ("Notes", self.notes),
        ):
            field.setAccessibleName(title)
            form.addRow(title, field)
        for line in (self.name, self.level):
            line.editingFinished.connect(self._tell)
        self.rate.editingFinished.connect(self._tell)
        self.view.activated.connect(lambda _row: self._tell())

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Leaving the notes ends the writing, as in a single line."""
        if watched is self.notes and event.type() == QEvent.Type.FocusOut:
            self._tell()
        return super().eventFilter(watched, event)

    def show_reference(self, reference: Reference) -> None:
        """Show what is remembered of a stroke."""
        self._of = reference
        with QSignalBlocker(self.name), QSignalBlocker(self.level), QSignalBlocker(self.rate):
            self.name.setText(reference.name)
            self.level.setText(reference.level)
            self.rate.setValue(reference.rate_spm)
            for line in (self.name, self.level):
                line.setCursorPosition(0)  # of long words the beginning is seen
        self.view.setCurrentIndex(self.view.findData(reference.view))
        if self.notes.toPlainText() != reference.notes:
            self.notes.setPlainText(reference.notes)

    def set_read_only(self, on: bool) -> None:
        """Let the words be read and copied, not changed."""
        self.name.setReadOnly(on)
        self.level.setReadOnly(on)
        self.notes.setReadOnly(on)
        self.rate.setReadOnly(on)
        buttons = QDoubleSpinBox.ButtonSymbols
        self.rate.setButtonSymbols(buttons.NoButtons if on else buttons.UpDownArrows)
        self.view.setEnabled(not on)

    def words(self) -> Reference | None:
        """What stands in the fields; None before a stroke was shown."""
        old = self._of
        if old is None:
            return None
        # What only rounding or the field's range changes was not changed by a hand.
        shown = min(max(round(old.rate_spm, self.rate.decimals()), RATE_SPM[0]), RATE_SPM[1])
        rate = old.rate_spm if self.rate.value() == shown else self.rate.value()
        return replace(
            old,
            name=self.name.text().strip(),
            view=cast(View, self.view.currentData()),
            rate_spm=rate,
            level=self.level.text().strip(),
            notes=self.notes.toPlainText().strip(),
        )

    def is_changed(self) -> bool:
        """Whether the fields hold other words than those shown first."""
        return self._of is not None and self.words() != self._of

    def _tell(self) -> None:
        if self.is_changed():
            self.edited.emit()


def view_words(view: str) -> str:
    """Which side the camera saw, in words."""
    return f"from the rower's {view}"
