"""The athletes as a table that a list of a thousand does not slow."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from typing import TYPE_CHECKING, Any, Final

from PySide6.QtCore import QAbstractTableModel, QModelIndex, QObject, QPersistentModelIndex, Qt
from PySide6.QtGui import QColor, QFont

from app.review.values.text import plain
from app.window.features.athletes.standing_words import LONGEST, day_words, state_words
from app.window.widgets import theme

if TYPE_CHECKING:
    from app.library.latest import Latest
    from app.library.overview import Standing

HEADS: Final = ("Athlete", "State", "Came in", "Told", "To work on")
NAME, STATE, CAME, TOLD, WORK = range(len(HEADS))
Index = QModelIndex | QPersistentModelIndex
_NO_PARENT: Final = QModelIndex()
_ROLE = Qt.ItemDataRole


class AthleteRows(QAbstractTableModel):
    """One row an athlete."""

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._rows: Sequence[Standing] = ()
        self._latest: Mapping[str, Latest] = {}
        self._today = date.today()

    def show(self, rows: Sequence[Standing], latest: Mapping[str, Latest], today: date) -> None:
        """Show these."""
        self.beginResetModel()
        self._rows, self._latest, self._today = rows, latest, today
        self.endResetModel()

    def at(self, row: int) -> Standing | None:
        """The athlete of a row, None where there is no such row."""
        return self._rows[row] if 0 <= row < len(self._rows) else None

    def latest_of(self, one: Standing) -> Latest | None:
        """What is known of the newest review."""
        return self._latest.get(one.athlete.id)

    def row_of(self, athlete_id: str) -> int:
        """The row of an athlete, -1 for none."""
        ids = (one.athlete.id for one in self._rows)
        return next((row for row, id_ in enumerate(ids) if id_ == athlete_id), -1)

    def rowCount(self, parent: Index = _NO_PARENT) -> int:
        """How many there are."""
        return 0 if parent.isValid() else len(self._rows)

    def columnCount(self, parent: Index = _NO_PARENT) -> int:
        """As many as have heads."""
        return 0 if parent.isValid() else len(HEADS)

    def headerData(self, section: int, way: Qt.Orientation, role: int = _ROLE.DisplayRole) -> Any:
        """The heads, as the columns stand."""
        if way == Qt.Orientation.Horizontal:
            if role == _ROLE.DisplayRole:
                return HEADS[section]
            if role == _ROLE.TextAlignmentRole:
                return int(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter)
        return None

    def data(self, index: Index, role: int = _ROLE.DisplayRole) -> Any:
        """Words, and what is to be done in colour and bold."""
        one = self.at(index.row())
        if one is None:
            return None
        if role in (_ROLE.DisplayRole, _ROLE.ToolTipRole):
            return self._words(one, index.column()) or None
        waits = bool(one.waits_since)
        if role == _ROLE.FontRole and index.column() == NAME and waits:
            bold = QFont()
            bold.setBold(True)
            return bold
        if role == _ROLE.ForegroundRole and index.column() == STATE:
            return QColor(theme.PLAYHEAD if waits else theme.QUIET)
        return None

    def _words(self, one: Standing, column: int) -> str:
        if column == NAME:
            return plain(one.athlete.name, LONGEST)
        if column == STATE:
            return state_words(one, self._today)
        if column == CAME:
            return day_words(max(one.last_sent_in, one.last_answer), self._today)
        if column == TOLD:
            return day_words(one.last_told, self._today)
        latest = self._latest.get(one.athlete.id)
        told = latest.told if latest is not None and one.last_told else ()
        return "; ".join(plain(title, LONGEST) for title in told)
