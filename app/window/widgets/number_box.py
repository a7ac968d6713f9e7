"""A field for a number that shows no more digits than it has."""

from __future__ import annotations

from PySide6.QtCore import QSignalBlocker
from PySide6.QtWidgets import QDoubleSpinBox, QWidget


class NumberBox(QDoubleSpinBox):
    """Shows 0.1 as 0.1 and not as 0.100, however fine it may be typed."""

    def __init__(
        self,
        name: str,
        suffix: str,
        least: float,
        most: float,
        digits: int,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self.setDecimals(digits)
        self.setRange(least, most)
        self.setSuffix(suffix)
        self.setKeyboardTracking(False)
        self.setAccessibleName(name)

    def textFromValue(self, value: float) -> str:
        """Write a number without the zeros at its end."""
        text = super().textFromValue(value)
        point = self.locale().decimalPoint()
        if point not in text:
            return text
        return text.rstrip(self.locale().zeroDigit()).removesuffix(point)

    def show_value(self, value: float) -> None:
        """Show a number without telling anybody that it was changed."""
        with QSignalBlocker(self):
            self.setValue(value)
