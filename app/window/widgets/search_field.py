"""A field to look for something in, which can be emptied at its end."""

from __future__ import annotations

from PySide6.QtWidgets import QLineEdit, QToolButton


class SearchField(QLineEdit):
    """A line to type in; `name` says what is searched, also to who cannot see it."""

    def __init__(self, name: str, shown: str) -> None:
        super().__init__()
        self.setAccessibleName(name)
        self.setPlaceholderText(shown)
        self.setClearButtonEnabled(True)
        for button in self.findChildren(QToolButton):
            button.setAccessibleName("Empty the field")
            button.setToolTip("Empty the field.")
