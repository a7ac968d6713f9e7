"""In the place of the picture while no review is open: the athletes, and whose turn it is."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import date
from typing import TYPE_CHECKING, Final

from PySide6.QtCore import QEvent, QObject, QSize, Qt, QTimer, Signal
from PySide6.QtGui import QAction, QKeyEvent, QPalette
from PySide6.QtWidgets import (
    QAbstractItemView,
    QComboBox,
    QHBoxLayout,
    QHeaderView,
    QLabel,
    QMenu,
    QPushButton,
    QTableView,
    QVBoxLayout,
    QWidget,
)

from app.window.features.athletes.athlete_rows import CAME, NAME, STATE, TOLD, AthleteRows
from app.window.features.athletes.standing_words import about_words
from app.window.widgets import theme
from app.window.widgets.search_field import SearchField

if TYPE_CHECKING:
    from app.library.latest import Latest
    from app.library.overview import Order, Standing

ORDERS: Final[tuple[tuple[str, Order | None], ...]] = (
    ("What came in last", "newest"),
    ("What waits longest", "waiting"),
    ("Told, and silent since", None),
    ("By name", "name"),
)
OPENING: Final = "Opening the library …"
EMPTY: Final = (
    "No athlete is in the library yet.\n\n"
    "Open what an athlete sent and type their name (F2): with the next saving they stand here, by "
    "themselves.\nReviews you have from before can be taken in together."
)
NOBODY: Final = (
    "Nobody fits. Search by name, #tag, finding, or a day such as 2026-11-03 or 2026-11."
)
SEARCH: Final = "Search: name, #tag, finding, 2026-11"
# Actions that begin, named so briefly that they stand side by side on a small screen.
_BEGINS: Final = {
    "open": "Open …",
    "recent": "Open recent",
    "inbox": "Watch an inbox …",
    "take_in_reviews": "Take in old reviews …",
}
_REST_MS: Final = 150  # after a letter, before the library is asked
_MOVES = (Qt.Key.Key_Up, Qt.Key.Key_Down, Qt.Key.Key_PageUp, Qt.Key.Key_PageDown)
_ENTER = (Qt.Key.Key_Return, Qt.Key.Key_Enter)


class AthletesPage(QWidget):
    """Shows rows; whoever has them asks what is wanted and says what to show."""

    asked = Signal()  # something else is looked for
    chosen = Signal(object)  # Standing: go on with this one
    left = Signal()  # back to what was there

    def __init__(self) -> None:
        super().__init__()
        self.setBackgroundRole(QPalette.ColorRole.Base)
        self.setAutoFillBackground(True)
        self.rows = AthleteRows(self)
        self.search = SearchField("Search the athletes", SEARCH)
        self.search.installEventFilter(self)
        self.order = QComboBox()
        self.order.setAccessibleName("Which athletes come first")
        for words, order in ORDERS:
            self.order.addItem(words, order)
        self.table = _table(self.rows)
        self.about = QLabel()
        self.about.setWordWrap(True)
        self.about.setTextFormat(Qt.TextFormat.PlainText)
        self.about.setMinimumHeight(2 * self.fontMetrics().lineSpacing())
        self.empty = QLabel()
        self.empty.setWordWrap(True)
        self.empty.setProperty("role", "quiet")
        self.empty.setAlignment(Qt.AlignmentFlag.AlignCenter)
        self.go_on = QPushButton("Open the newest review   Enter")
        self.go_on.setToolTip("Open what this athlete sent last.")
        self.more = QPushButton("This athlete")
        self.more.setToolTip("Save all about the athlete that is chosen, or delete it.")
        self.more.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        self.more.setMenu(QMenu(self.more))
        self.table.setContextMenuPolicy(Qt.ContextMenuPolicy.ActionsContextMenu)
        self._buttons = QHBoxLayout()
        self._make_column()
        self._rest = QTimer(self, singleShot=True, interval=_REST_MS)
        self._rest.timeout.connect(self.asked)
        self.search.textChanged.connect(lambda _text: self._rest.start())
        self.order.currentIndexChanged.connect(lambda _row: self.asked.emit())
        self.table.doubleClicked.connect(lambda _index: self.choose())
        self.table.selectionModel().currentRowChanged.connect(lambda *_rows: self._tell_about())
        self.table.installEventFilter(self)
        self.go_on.clicked.connect(self.choose)
        theme.follow(self._dress)

    @property
    def wanted_order(self) -> Order:
        """In which order the library is to list them."""
        order: Order | None = self.order.currentData()
        return order or "newest"

    @property
    def only_silent(self) -> bool:
        """Whether only those are wanted who were told something and are silent."""
        return self.order.currentData() is None

    @property
    def current(self) -> Standing | None:
        """The athlete that is chosen."""
        return self.rows.at(self.table.currentIndex().row())

    def lay_out(self, actions: Mapping[str, QAction], begin: Callable[[], None]) -> None:
        """Offer what begins, as the page without athletes does."""
        for name, words in _BEGINS.items():
            action = actions.get(name)
            if action is not None:
                self._add_button(_with_key(words, action), action.statusTip(), action.trigger)
        self._add_button("How to begin", "The page with the sample and the short tour.", begin)

    def offer_for_one(self, words: str, run: Callable[[], object]) -> None:
        """Offer something for the athlete that is chosen: at the button, and on a right click."""
        action = QAction(words, self)
        action.triggered.connect(lambda: run())
        self.more.menu().addAction(action)
        self.table.addAction(action)

    def show_rows(
        self, rows: tuple[Standing, ...], latest: Mapping[str, Latest], today: date
    ) -> None:
        """Show these; the one that was chosen stays so, else the first is."""
        before = self.current
        self.rows.show(rows, latest, today)
        at = -1 if before is None else self.rows.row_of(before.athlete.id)
        self.say("" if rows else NOBODY if self.search.text().strip() else EMPTY)
        if rows:
            self.table.selectRow(max(at, 0))
        self._tell_about()

    def say(self, words: str) -> None:
        """Say something in the place of the rows; "" shows them."""
        self.empty.setText(words)
        self.empty.setVisible(bool(words))
        for part in (self.table, self.about, self.more, self.go_on):
            part.setVisible(not words)

    def go_to_next(self, after: str) -> None:
        """Choose the athlete that follows one: what was opened is done."""
        row = self.rows.row_of(after)
        if row >= 0 and row + 1 < self.rows.rowCount():
            self.table.selectRow(row + 1)

    def choose(self) -> None:
        """Go on with the athlete that is chosen."""
        if self.current is not None:
            self.chosen.emit(self.current)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """The arrows move in the list and Enter opens, wherever the keys are."""
        if not isinstance(event, QKeyEvent) or event.type() != QEvent.Type.KeyPress:
            return super().eventFilter(watched, event)
        key = event.key()
        if key in _ENTER:
            self.choose()
            return True
        if key == Qt.Key.Key_Escape:
            if self.search.text():
                self.search.clear()
            else:
                self.left.emit()
            return True
        if watched is self.search and key in _MOVES:
            self.table.keyPressEvent(event)
            return True
        return super().eventFilter(watched, event)

    def minimumSizeHint(self) -> QSize:
        """It gives way as the picture does."""
        return QSize(320, 180)

    def _make_column(self) -> None:
        heading = QLabel("Athletes")
        heading.setProperty("role", "heading")
        top = QHBoxLayout()
        top.addWidget(heading)
        top.addWidget(self.search, 1)
        top.addWidget(self.order)
        top.setSpacing(10)
        about = QHBoxLayout()
        about.addWidget(self.about, 1)
        about.addWidget(self.more, 0, Qt.AlignmentFlag.AlignTop)
        about.addWidget(self.go_on, 0, Qt.AlignmentFlag.AlignTop)
        self._column = QVBoxLayout(self)
        self._column.setContentsMargins(14, 10, 14, 8)
        self._column.setSpacing(8)
        self._column.addLayout(top)
        self._column.addWidget(self.empty, 1)
        self._column.addWidget(self.table, 1)
        self._column.addLayout(about)
        self._buttons.addStretch(1)
        self._column.addLayout(self._buttons)
        self.say(OPENING)

    def insert_above(self, widget: QWidget) -> None:
        """Let something stand between the search and the rows."""
        self._column.insertWidget(1, widget)

    def _add_button(self, text: str, tip: str, run: Callable[[], object]) -> None:
        button = QPushButton(text)
        button.setToolTip(tip)
        button.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        button.clicked.connect(lambda: run())
        self._buttons.insertWidget(self._buttons.count() - 1, button)

    def _tell_about(self) -> None:
        one = self.current
        latest = None if one is None else self.rows.latest_of(one)
        self.go_on.setEnabled(latest is not None)
        if one is None:
            self.about.setText("")
            return
        if latest is None:
            from app.library.latest import Latest

            latest = Latest()
        self.about.setText(about_words(one, latest, date.today()))

    def _dress(self) -> None:
        self.table.setStyleSheet(f"QTableView {{ gridline-color: {theme.HAIR}; }}")


def _table(rows: AthleteRows) -> QTableView:
    table = QTableView()
    table.setModel(rows)
    table.setAccessibleName("Athletes")
    table.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
    table.setSelectionMode(QAbstractItemView.SelectionMode.SingleSelection)
    table.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
    table.setTabKeyNavigation(False)
    table.setShowGrid(False)
    table.setAlternatingRowColors(True)
    table.setWordWrap(False)
    table.verticalHeader().hide()
    letter = table.fontMetrics()
    table.verticalHeader().setDefaultSectionSize(round(1.7 * letter.lineSpacing()))
    head = table.horizontalHeader()
    head.setHighlightSections(False)
    head.setStretchLastSection(True)
    head.setSectionResizeMode(QHeaderView.ResizeMode.Interactive)
    sizes = {NAME: 24, STATE: 26, CAME: 13, TOLD: 13}
    for column, letters in sizes.items():
        table.setColumnWidth(column, letters * letter.averageCharWidth())
    return table


def _with_key(words: str, action: QAction) -> str:
    key = action.shortcut().toString()
    return f"{words}   {key}" if key else words
