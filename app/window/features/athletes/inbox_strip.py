"""What came into the inbox, over the athletes."""

from __future__ import annotations

from typing import Final

from PySide6.QtCore import QSize, Qt
from PySide6.QtGui import QPalette
from PySide6.QtWidgets import QLabel, QListWidget, QListWidgetItem, QVBoxLayout, QWidget

from app.review.values.text import plain
from app.window.features.athletes.inbox import WHY, Inbox
from app.window.features.athletes.inbox_look import InboxItem

LINES: Final = 4  # rows that are seen at once


class InboxStrip(QWidget):
    """A few rows; hidden while nothing came."""

    def __init__(self, inbox: Inbox) -> None:
        super().__init__()
        self._inbox = inbox
        self.heading = QLabel()
        self.heading.setProperty("role", "heading")
        self.list = QListWidget()
        self.list.setAccessibleName("Inbox")
        self.list.setBackgroundRole(QPalette.ColorRole.Base)
        self.list.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.list.setTextElideMode(Qt.TextElideMode.ElideRight)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(4)
        column.addWidget(self.heading)
        column.addWidget(self.list)
        self.list.itemActivated.connect(self._open)
        inbox.changed.connect(self._fill)
        self._fill()

    def sizeHint(self) -> QSize:
        """As high as its rows, up to a few."""
        row = self.list.sizeHintForRow(0) if self.list.count() else 0
        high = row * min(self.list.count(), LINES) + 2 * self.list.frameWidth()
        return QSize(200, high + self.heading.sizeHint().height() + 4)

    def _fill(self) -> None:
        items = self._inbox.items
        self.list.clear()
        for item in items:
            row = QListWidgetItem(words_of(item))
            row.setToolTip(" ".join(p for p in (WHY.get(item.why, ""), item.remark) if p))
            row.setData(Qt.ItemDataRole.UserRole, item)
            self.list.addItem(row)
        drafts = sum(item.review is not None for item in items)
        new = len(items) - drafts
        said = [f"{drafts} ready" if drafts else "", f"{new} new" if new else ""]
        self.heading.setText(f"Inbox: {' · '.join(part for part in said if part)}")
        row_px = self.list.sizeHintForRow(0) if items else 0
        self.list.setFixedHeight(row_px * min(len(items), LINES) + 2 * self.list.frameWidth())
        self.setVisible(bool(items))
        self.updateGeometry()

    def _open(self, row: QListWidgetItem) -> None:
        self._inbox.open(row.data(Qt.ItemDataRole.UserRole))


def words_of(item: InboxItem) -> str:
    """One row: whose, which files, and what is not sure about it."""
    whose = plain(item.athlete) or "Nobody named"
    if item.review is not None:
        return f"Draft ready  ·  {whose}  ·  {plain(item.review.stem)}"
    names = [plain(path.name) for path in item.films[:1]]
    names += [plain(item.force.name)] if item.force is not None else []
    more = f" and {len(item.films) - 1} more films" if len(item.films) > 1 else ""
    doubt = f"  ·  ▲ {item.remark}" if item.remark and not item.why else ""
    return f"New  ·  {whose}  ·  {' + '.join(names)}{more}{doubt}"
