"""The help: every action with its key, and a search that carries one out."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

from PySide6.QtCore import QEvent, QObject, QSize, Qt
from PySide6.QtGui import QAction, QKeyEvent, QKeySequence
from PySide6.QtWidgets import (
    QDialog,
    QFrame,
    QGridLayout,
    QHBoxLayout,
    QHeaderView,
    QLabel,
    QLineEdit,
    QScrollArea,
    QTreeWidget,
    QTreeWidgetItem,
    QVBoxLayout,
    QWidget,
)

from app.window.actions.action_row import ActionRow
from app.window.actions.menu_order import menu_of

COLUMNS = 3
_OF_SCREEN = 0.96
WIDE_PX = 1700  # a screen with room for one more column


def key_text(keys: Sequence[str]) -> str:
    """Keys as the system writes them."""
    native = QKeySequence.SequenceFormat.NativeText
    return " or ".join(QKeySequence(key).toString(native) for key in keys)


class KeyCard(QDialog):
    """All actions by menu and section, in columns; no higher than the screen."""

    def __init__(self, rows: Sequence[ActionRow], parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWindowTitle("Keyboard shortcuts")
        self._page = page = QWidget()
        across = QHBoxLayout(page)
        across.setContentsMargins(16, 10, 10, 12)
        across.setSpacing(22)
        wide = self.screen().availableSize().width() >= WIDE_PX
        for blocks in _in_columns(rows, COLUMNS + wide):
            across.addLayout(_column(blocks), 1)
        self._scroll = QScrollArea()
        self._scroll.setWidget(page)
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


def _in_columns(
    rows: Sequence[ActionRow], count: int
) -> list[list[tuple[str, tuple[ActionRow, ...]]]]:
    """Sections dealt out to columns of like height, in their order; each named with its menu."""
    blocks = []
    for section in dict.fromkeys(row.section for row in rows):
        of = tuple(row for row in rows if row.section == section)
        menu = menu_of(of[0])
        blocks.append((menu if menu == section else f"{menu}: {section}", of))
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
        found = [row for row in self._rows if all(word in _heap(row) for word in words)]
        # What the title says comes before what only the help says, and what works before the rest.
        found.sort(key=self._place(words))
        for row in found:
            usable = self._actions[row.name].isEnabled()
            where = menu_of(row) if usable else self._lacks(row.needs)
            item = QTreeWidgetItem([row.title, where, key_text(row.keys)])
            item.setData(0, Qt.ItemDataRole.UserRole, row.name)
            for column in range(3):
                item.setToolTip(column, row.help)
            if not usable:
                item.setFlags(item.flags() & ~Qt.ItemFlag.ItemIsEnabled)
            self._found.addTopLevelItem(item)
        self._choose(0)

    def _place(self, words: Sequence[str]) -> Callable[[ActionRow], tuple[bool, bool]]:
        def place(row: ActionRow) -> tuple[bool, bool]:
            titled = all(word in row.title.lower() for word in words)
            return not self._actions[row.name].isEnabled(), not titled

        return place

    def _run(self) -> None:
        item = self._found.currentItem()
        if item is None or not item.flags() & Qt.ItemFlag.ItemIsEnabled:
            return
        self.accept()
        self._actions[item.data(0, Qt.ItemDataRole.UserRole)].trigger()


def _heap(row: ActionRow) -> str:
    """All words that an action can be found by."""
    return f"{row.title} {menu_of(row)} {row.section} {row.help}".lower()


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
