"""The help: every action with its key, and a search that carries one out."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QEvent, QObject, Qt
from PySide6.QtGui import QAction, QKeyEvent, QKeySequence
from PySide6.QtWidgets import (
    QDialog,
    QGridLayout,
    QLabel,
    QLineEdit,
    QListWidget,
    QListWidgetItem,
    QVBoxLayout,
    QWidget,
)

from app.window.acting.action_row import ActionRow

COLUMNS = 3


def key_text(keys: Sequence[str]) -> str:
    """Keys as the system writes them."""
    native = QKeySequence.SequenceFormat.NativeText
    return " or ".join(QKeySequence(key).toString(native) for key in keys)


class KeyCard(QDialog):
    """All actions by menu, in columns."""

    def __init__(self, rows: Sequence[ActionRow], parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWindowTitle("Keys")
        grid = QGridLayout(self)
        grid.setContentsMargins(20, 16, 20, 16)
        grid.setHorizontalSpacing(14)
        grid.setVerticalSpacing(3)
        lines: list[tuple[str, str, str]] = []
        for menu in dict.fromkeys(row.menu for row in rows):
            lines.append((menu, "", ""))
            lines += [(r.title, key_text(r.keys), r.help) for r in rows if r.menu == menu]
        half = -(-len(lines) // COLUMNS)
        for i, (title, keys, help_text) in enumerate(lines):
            line, column = i % half, 3 * (i // half)
            label = QLabel(title)
            label.setToolTip(help_text)
            label.setProperty("role", "" if help_text else "heading")
            key = QLabel(keys)
            key.setProperty("role", "quiet")
            grid.addWidget(label, line, column)
            grid.addWidget(key, line, column + 1)
        for column in range(COLUMNS - 1):
            grid.setColumnMinimumWidth(3 * column + 2, 24)


class ActionSearch(QDialog):
    """Type a few letters, choose, return: the action is carried out."""

    def __init__(
        self, rows: Sequence[ActionRow], actions: dict[str, QAction], parent: QWidget
    ) -> None:
        super().__init__(parent)
        self.setWindowTitle("Find an action")
        self.setMinimumWidth(460)
        self._rows = rows
        self._actions = actions
        self._field = QLineEdit()
        self._field.setPlaceholderText("What do you want to do?")
        self._found = QListWidget()
        column = QVBoxLayout(self)
        column.addWidget(self._field)
        column.addWidget(self._found)
        self._field.textChanged.connect(self._search)
        self._field.returnPressed.connect(self._run)
        self._found.itemActivated.connect(self._run)
        self._field.installEventFilter(self)
        self._search("")

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Up and down move through the list while the letters keep the keyboard."""
        if watched is self._field and isinstance(event, QKeyEvent):
            step = {Qt.Key.Key_Down: 1, Qt.Key.Key_Up: -1}.get(Qt.Key(event.key()), 0)
            if step and event.type() == QEvent.Type.KeyPress:
                row = self._found.currentRow() + step
                self._found.setCurrentRow(min(max(row, 0), self._found.count() - 1))
                return True
        return super().eventFilter(watched, event)

    def _search(self, text: str) -> None:
        words = text.lower().split()
        self._found.clear()
        for row in self._rows:
            if all(word in f"{row.title} {row.menu} {row.help}".lower() for word in words):
                keys = key_text(row.keys)
                item = QListWidgetItem(row.title + (f"    {keys}" if keys else ""))
                item.setData(Qt.ItemDataRole.UserRole, row.name)
                item.setToolTip(row.help)
                if not self._actions[row.name].isEnabled():
                    item.setFlags(item.flags() & ~Qt.ItemFlag.ItemIsEnabled)
                self._found.addItem(item)
        self._found.setCurrentRow(0)

    def _run(self) -> None:
        item = self._found.currentItem()
        if item is None or not item.flags() & Qt.ItemFlag.ItemIsEnabled:
            return
        self.accept()
        self._actions[item.data(Qt.ItemDataRole.UserRole)].trigger()
