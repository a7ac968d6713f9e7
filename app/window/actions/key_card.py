"""The help: every action with its key, and a search that carries one out."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QSize, Qt
from PySide6.QtGui import QKeySequence
from PySide6.QtWidgets import (
    QDialog,
    QFrame,
    QGridLayout,
    QHBoxLayout,
    QLabel,
    QScrollArea,
    QVBoxLayout,
    QWidget,
)

from app.window.actions.action_row import ActionRow
from app.window.actions.menu_order import heading_of

_OF_SCREEN = 0.96
MOST_COLUMNS = 4


def key_text(keys: Sequence[str]) -> str:
    """Keys as the system writes them."""
    native = QKeySequence.SequenceFormat.NativeText
    return " or ".join(QKeySequence(key).toString(native) for key in keys)


class KeyCard(QDialog):
    """All actions by menu and section, in columns; no higher than the screen."""

    def __init__(self, rows: Sequence[ActionRow], parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWindowTitle("Keyboard shortcuts")
        self._scroll = QScrollArea()
        room = self.screen().availableSize().width() * _OF_SCREEN
        bar = self._scroll.verticalScrollBar().sizeHint().width() + 4
        count = MOST_COLUMNS
        self._page = _page(rows, count)
        while count > 1 and self._page.sizeHint().width() + bar > room:
            count -= 1
            self._page = _page(rows, count)
        self._scroll.setWidget(self._page)
        self._scroll.setWidgetResizable(True)
        self._scroll.setFrameShape(QFrame.Shape.NoFrame)
        self._scroll.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAsNeeded)
        self._scroll.setAccessibleName("Every action with its key")
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(self._scroll)
        self.resize(self.sizeHint())

    def sizeHint(self) -> QSize:
        """As large as the card, where the screen has room for it."""
        page = self._page.sizeHint()
        bar = self._scroll.verticalScrollBar().sizeHint().width() + 4
        room = self.screen().availableSize() * _OF_SCREEN
        return QSize(min(page.width() + bar, room.width()), min(page.height() + 4, room.height()))


def _page(rows: Sequence[ActionRow], columns: int) -> QWidget:
    page = QWidget()
    across = QHBoxLayout(page)
    across.setContentsMargins(16, 10, 10, 12)
    across.setSpacing(22)
    for blocks in _in_columns(rows, columns):
        across.addLayout(_column(blocks), 1)
    return page


def _in_columns(
    rows: Sequence[ActionRow], count: int
) -> list[list[tuple[str, tuple[ActionRow, ...]]]]:
    """Sections dealt out to columns of like height, in their order; each named with its menu."""
    blocks = []
    for section in dict.fromkeys(row.section for row in rows):
        of = tuple(row for row in rows if row.section == section)
        blocks.append((heading_of(of[0]), of))
    height = sum(len(of) + 2 for _name, of in blocks) / count
    columns: list[list[tuple[str, tuple[ActionRow, ...]]]] = [[] for _ in range(count)]
    above = 0.0
    for name, of in blocks:
        middle = above + (len(of) + 2) / 2
        columns[min(int(middle / height), count - 1)].append((name, of))
        above += len(of) + 2
    return columns


def _column(blocks: Sequence[tuple[str, tuple[ActionRow, ...]]]) -> QVBoxLayout:
    column = QVBoxLayout()
    column.setSpacing(10)
    for name, rows in blocks:
        grid = QGridLayout()
        grid.setHorizontalSpacing(14)
        grid.setVerticalSpacing(2)
        grid.setColumnStretch(0, 1)
        heading = QLabel(name)
        heading.setProperty("role", "heading")
        grid.addWidget(heading, 0, 0, 1, 2)
        for line, row in enumerate(rows, start=1):
            title, key = QLabel(row.title), QLabel(key_text(row.keys[:1]))
            for label in (title, key):
                label.setToolTip(f"{row.help}\n{key_text(row.keys)}".strip())
            key.setProperty("role", "quiet")
            grid.addWidget(title, line, 0)
            grid.addWidget(key, line, 1, Qt.AlignmentFlag.AlignRight)
        column.addLayout(grid)
    column.addStretch(1)
    return column
