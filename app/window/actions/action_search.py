"""The search for an action, by whatever a coach calls it."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence

from PySide6.QtCore import QEvent, QObject, Qt
from PySide6.QtGui import QAction, QKeyEvent
from PySide6.QtWidgets import (
    QDialog,
    QHeaderView,
    QLabel,
    QLineEdit,
    QTreeWidget,
    QTreeWidgetItem,
    QVBoxLayout,
    QWidget,
)

from app.window.actions.action_row import ActionRow
from app.window.actions.key_card import key_text
from app.window.actions.menu_order import heading_of, menu_of


class ActionSearch(QDialog):
    """Type a few letters, choose, return: the action is carried out."""

    def __init__(
        self,
        rows: Sequence[ActionRow],
        actions: Mapping[str, QAction],
        lacks: Callable[[str], str],
        parent: QWidget,
    ) -> None:
        super().__init__(parent)
        self.setWindowTitle("Search the actions")
        self.resize(620, 380)
        self._rows = rows
        self._actions, self._lacks = actions, lacks
        self._field = QLineEdit()
        self._field.setPlaceholderText("What do you want to do?")
        self._field.setAccessibleName("What do you want to do?")
        self._found = _list_of_actions()
        column = QVBoxLayout(self)
        column.addWidget(self._field)
        column.addWidget(self._found)
        self._nothing = QLabel()
        self._nothing.setProperty("role", "quiet")
        self._nothing.setWordWrap(True)
        self._nothing.setTextFormat(Qt.TextFormat.PlainText)
        column.addWidget(self._nothing)
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
                place = self._found.currentIndex().row() + step
                last = self._found.topLevelItemCount() - 1
                self._choose(min(max(place, 0), last))
                return True
        return super().eventFilter(watched, event)

    def _choose(self, place: int) -> None:
        item = self._found.topLevelItem(place)
        if item is not None:
            self._found.setCurrentItem(item)

    def _search(self, text: str) -> None:
        words = text.lower().split()
        self._found.clear()
        found = self._find(words)
        meant = self._meant(words) if not found else []
        found = found or (self._find(meant) if meant else [])
        self._nothing.setVisible(bool(words) and (not found or bool(meant)))
        self._nothing.setText(
            f"Nothing is called “{text.strip()}”. Shown is “{' '.join(meant)}”."
            if found
            else f"Nothing is called “{text.strip()}”. Try another word for it, or see every action"
            " with F1."
        )
        # What the title says comes before what only the help says, and what works before the rest.
        found.sort(key=self._place(words))
        for row in found:
            usable = self._actions[row.name].isEnabled()
            where = heading_of(row) if usable else self._lacks(row.needs)
            item = QTreeWidgetItem([row.title, where, key_text(row.keys)])
            item.setData(0, Qt.ItemDataRole.UserRole, row.name)
            for column in range(3):
                item.setToolTip(column, row.help)
            if not usable:
                item.setFlags(item.flags() & ~Qt.ItemFlag.ItemIsEnabled)
            self._found.addTopLevelItem(item)
        self._choose(0)

    def _find(self, words: Sequence[str]) -> list[ActionRow]:
        return [row for row in self._rows if all(word in heap(row) for word in words)]

    def _meant(self, words: Sequence[str]) -> list[str]:
        """The words nearest to what was typed, for a slip of the finger; [] where none is near."""
        from difflib import get_close_matches

        known = sorted({word for row in self._rows for word in re.findall(r"\w{3,}", heap(row))})
        near = [next(iter(get_close_matches(w, known, 1, 0.75)), "") for w in words]
        return near if all(near) else []

    def _place(self, words: Sequence[str]) -> Callable[[ActionRow], tuple[bool, bool, bool]]:
        def place(row: ActionRow) -> tuple[bool, bool, bool]:
            titled = all(word in row.title.lower() for word in words)
            first = bool(words) and all(word in row.first_for.split() for word in words)
            return not self._actions[row.name].isEnabled(), not first, not titled

        return place

    def _run(self) -> None:
        item = self._found.currentItem()
        if item is None or not item.flags() & Qt.ItemFlag.ItemIsEnabled:
            return
        self.accept()
        self._actions[item.data(0, Qt.ItemDataRole.UserRole)].trigger()


def heap(row: ActionRow) -> str:
    """All words that an action can be found by."""
    return f"{row.title} {menu_of(row)} {row.section} {row.help} {row.also}".lower()


def _list_of_actions() -> QTreeWidget:
    found = QTreeWidget()
    found.setAccessibleName("Actions found")
    found.setRootIsDecorated(False)
    found.setColumnCount(3)
    found.setHeaderHidden(True)
    header = found.header()
    header.setStretchLastSection(False)
    header.setSectionResizeMode(0, QHeaderView.ResizeMode.Stretch)
    for column in (1, 2):
        header.setSectionResizeMode(column, QHeaderView.ResizeMode.ResizeToContents)
    return found
