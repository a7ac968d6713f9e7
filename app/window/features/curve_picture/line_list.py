"""The lines picked in a picture: a name to write, what was read, and a button to take it away."""

from __future__ import annotations

from typing import Final

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QGridLayout, QLabel, QLineEdit, QToolButton, QWidget

from app.window.features.curve_picture.reader import Stroke, words_of

_LEAST_WIDE: Final = 240


class LineList(QWidget):
    """A row of three for each line."""

    renamed = Signal(int, str)
    removed = Signal(int)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._grid = QGridLayout(self)
        self._grid.setContentsMargins(0, 0, 0, 0)
        self._grid.setColumnStretch(1, 1)
        self._rows: list[tuple[QLabel, QLineEdit, QToolButton, QLabel]] = []

    @property
    def words(self) -> tuple[str, ...]:
        """What is said of each line."""
        return tuple(row[3].text() for row in self._rows)

    def show_strokes(self, strokes: tuple[Stroke, ...]) -> None:
        """Show these lines."""
        while len(self._rows) > len(strokes):
            for widget in self._rows.pop():
                self._grid.removeWidget(widget)
                widget.deleteLater()
        while len(self._rows) < len(strokes):
            self._add_row(len(self._rows))
        for (patch, name, _gone, words), stroke in zip(self._rows, strokes, strict=True):
            colour = (
                "transparent"
                if stroke.picked is None
                else "#{:02x}{:02x}{:02x}".format(*stroke.picked.colour)
            )
            patch.setStyleSheet(f"background: {colour}; border: 1px solid gray;")
            if name.text() != stroke.name and not name.hasFocus():
                name.setText(stroke.name)
            words.setText(words_of(stroke))
            # What wraps tells a grid no height of its own.
            words.setMinimumHeight(words.heightForWidth(max(self.width(), _LEAST_WIDE)))
        self._grid.setRowStretch(2 * len(self._rows) + 1, 1)

    def _add_row(self, row: int) -> None:
        patch, name, gone, words = QLabel(), QLineEdit(), QToolButton(), QLabel()
        patch.setFixedSize(12, 12)
        name.setAccessibleName(f"Name of line {row + 1}")
        name.setMaxLength(120)
        gone.setText("Remove")
        gone.setAccessibleName(f"Remove line {row + 1}")
        words.setWordWrap(True)
        words.setProperty("role", "quiet")
        name.editingFinished.connect(lambda: self.renamed.emit(row, name.text()))
        gone.clicked.connect(lambda: self.removed.emit(row))
        self._grid.setRowStretch(2 * row + 1, 0)
        self._grid.addWidget(patch, 2 * row, 0)
        self._grid.addWidget(name, 2 * row, 1)
        self._grid.addWidget(gone, 2 * row, 2)
        self._grid.addWidget(words, 2 * row + 1, 0, 1, 3)
        self._rows.append((patch, name, gone, words))
