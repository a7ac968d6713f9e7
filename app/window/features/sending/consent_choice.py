"""Whether the athlete agrees: three words in a row, one click each."""

from __future__ import annotations

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QButtonGroup, QHBoxLayout, QRadioButton, QWidget

CONSENT: tuple[tuple[str, bool | None, str], ...] = (
    ("Not asked yet", None, "Nobody has asked the athlete"),
    ("Agrees", True, "The athlete agrees to being sent this"),
    ("Does not agree", False, "The athlete does not agree to being sent this"),
)


class ConsentChoice(QWidget):
    """Shows what was noted, and tells what is noted now."""

    chosen = Signal(object)  # bool | None

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAccessibleName("Does the athlete agree?")
        self._buttons = QButtonGroup(self)
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(10)
        for number, (words, _value, help_text) in enumerate(CONSENT):
            button = QRadioButton(words)
            button.setToolTip(help_text)
            self._buttons.addButton(button, number)
            row.addWidget(button)
        self._buttons.idClicked.connect(lambda number: self.chosen.emit(CONSENT[number][1]))
        self.show_value(None)

    def button(self, value: bool | None) -> QRadioButton:
        """The button that notes a value."""
        number = [known for _words, known, _help in CONSENT].index(value)
        found = self._buttons.button(number)
        assert isinstance(found, QRadioButton)
        return found

    def show_value(self, value: bool | None) -> None:
        """Show what the review holds."""
        self.button(value).setChecked(True)
