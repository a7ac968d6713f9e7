"""Asks what is to be remembered of a stroke that goes into the library."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QDialog, QDialogButtonBox, QLabel, QVBoxLayout, QWidget

from app.review.parts.reference import Reference
from app.review.values.stroke_ref import StrokeRef
from app.window.features.comparing.reference_fields import RATE_SPM, ReferenceFields

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
        self._fields = ReferenceFields()
        self.name, self.level = self._fields.name, self._fields.level
        self._fields.show_reference(_first_words(stroke))
        self._fields.notes.setMaximumHeight(90)
        self.name.selectAll()
        words = QLabel(WORDS)
        words.setWordWrap(True)
        words.setProperty("role", "quiet")
        buttons = QDialogButtonBox(QDialogButtonBox.StandardButton.Cancel)
        self._keep = buttons.addButton("Keep", QDialogButtonBox.ButtonRole.AcceptRole)
        buttons.accepted.connect(self.accept)
        buttons.rejected.connect(self.reject)
        self.name.textChanged.connect(lambda text: self._keep.setEnabled(bool(text.strip())))
        column = QVBoxLayout(self)
        column.addWidget(self._fields)
        column.addWidget(words)
        column.addWidget(buttons)

    def accept(self) -> None:
        """Keep what was written."""
        said = self._fields.words()
        if said is None or not said.name:
            self.name.setFocus()
            return
        self._take(said)
        super().accept()


def _first_words(stroke: StrokeRef) -> Reference:
    """What is known of a stroke before the coach says anything."""
    times = (stroke.catch_s, stroke.finish_s, stroke.next_catch_s)
    rate_spm = 60.0 / (stroke.next_catch_s - stroke.catch_s)
    return Reference(
        stroke.label, "left", min(max(rate_spm, RATE_SPM[0]), RATE_SPM[1]), "", "", *times
    )
