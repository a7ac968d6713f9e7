"""Asks what is to be remembered of a stroke that goes into the library."""

from __future__ import annotations

from collections.abc import Callable
from typing import cast

from PySide6.QtCore import Qt
from PySide6.QtWidgets import (
    QComboBox,
    QDialog,
    QDialogButtonBox,
    QDoubleSpinBox,
    QFormLayout,
    QLabel,
    QLineEdit,
    QPlainTextEdit,
    QWidget,
)

from app.review.comparison import StrokeRef
from app.review.reference import VIEWS, Reference, View

WORDS = (
    "A clip of this one stroke, without sound, and its force are copied into your library; the"
    " library stays on this machine. Ask the athlete first, and mind the local rules for minors."
)


class ReferenceDialog(QDialog):
    """Name, view, rate, level and notes of one stroke."""

    def __init__(
        self, stroke: StrokeRef, take: Callable[[Reference], None], parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self.setWindowTitle("Keep this stroke as a reference")
        self.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        self.setMinimumWidth(440)
        self._stroke, self._take = stroke, take
        self.name = QLineEdit(stroke.label)
        self.name.selectAll()
        self.view = QComboBox()
        for view in VIEWS:
            self.view.addItem(f"from the rower's {view}", view)
        self.rate = QDoubleSpinBox()
        self.rate.setRange(5.0, 80.0)
        self.rate.setDecimals(1)
        self.rate.setSuffix(" / min")
        self.rate.setValue(60.0 / (stroke.next_catch_s - stroke.catch_s))
        self.level = QLineEdit()
        self.level.setPlaceholderText("in your own words: club, junior, first year …")
        self.notes = QPlainTextEdit()
        self.notes.setPlaceholderText("What to look at in this stroke")
        self.notes.setTabChangesFocus(True)
        self.notes.setMaximumHeight(90)
        words = QLabel(WORDS)
        words.setWordWrap(True)
        words.setProperty("role", "quiet")
        buttons = QDialogButtonBox(QDialogButtonBox.StandardButton.Cancel)
        self._keep = buttons.addButton("Keep", QDialogButtonBox.ButtonRole.AcceptRole)
        buttons.accepted.connect(self.accept)
        buttons.rejected.connect(self.reject)
        self.name.textChanged.connect(lambda text: self._keep.setEnabled(bool(text.strip())))
        form = QFormLayout(self)
        form.addRow("Name", self.name)
        form.addRow("Seen", self.view)
        form.addRow("Stroke rate", self.rate)
        form.addRow("Level", self.level)
        form.addRow("Notes", self.notes)
        form.addRow(words)
        form.addRow(buttons)

    def accept(self) -> None:
        """Keep what was written."""
        if not self.name.text().strip():
            self.name.setFocus()
            return
        stroke = self._stroke
        self._take(
            Reference(
                self.name.text().strip(),
                cast(View, self.view.currentData()),
                self.rate.value(),
                self.level.text().strip(),
                self.notes.toPlainText().strip(),
                stroke.catch_s,
                stroke.finish_s,
                stroke.next_catch_s,
            )
        )
        super().accept()
