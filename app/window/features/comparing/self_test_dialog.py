"""The self-test: right and wrong strokes the athlete tells apart, in an order of their own."""

from __future__ import annotations

import random
from collections.abc import Callable
from dataclasses import replace

from PySide6.QtCore import QSignalBlocker, Qt, Signal
from PySide6.QtWidgets import (
    QAbstractItemView,
    QComboBox,
    QDialog,
    QDialogButtonBox,
    QHBoxLayout,
    QHeaderView,
    QLabel,
    QLineEdit,
    QTableWidget,
    QTableWidgetItem,
    QToolButton,
    QVBoxLayout,
    QWidget,
)

from app.review.parts.self_test import SelfTest, SelfTestItem, SetSelfTest, new_self_test
from app.review.parts.state import ReviewState
from app.review.values.stroke_ref import StrokeRef
from app.window.session.review_session import ReviewSession
from app.window.widgets.scroll_frame import fit_dialog

EMPTY = (
    "No stroke yet. Go to a stroke on the bench and press Add this stroke; say whether it is right,"
    " and why. With a comparison on screen, Add both takes its two."
)
QUESTION = "Is this stroke rowed right?"
HELD_BACK = "The athlete sees them in this order; right or wrong and why come only when asked."
ORDERS = 10_000  # seeds to draw an order from


class SelfTestDialog(QDialog):
    """A short table: which strokes, right or wrong, and why. Every change can be undone."""

    stroke_wanted = Signal(object)  # StrokeRef to show on the bench

    def __init__(
        self,
        session: ReviewSession,
        this_stroke: Callable[[], StrokeRef | None],
        both_strokes: Callable[[], tuple[StrokeRef, ...]],
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self.setWindowTitle("Self-test for the athlete")
        self.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        fit_dialog(self, 760, 420)
        self._session, self._this, self._both = session, this_stroke, both_strokes
        self._question = QLineEdit()
        self._question.setAccessibleName("What the athlete is asked")
        self._question.setPlaceholderText(QUESTION)
        self._question.editingFinished.connect(self._ask)
        self.table = QTableWidget(0, 3)
        self.table.setAccessibleName("Strokes of the self-test")
        self.table.setHorizontalHeaderLabels(("Stroke", "Rowed", "Why"))
        self.table.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
        self.table.setShowGrid(False)
        header = self.table.horizontalHeader()
        header.setSectionResizeMode(0, QHeaderView.ResizeMode.ResizeToContents)
        header.setSectionResizeMode(2, QHeaderView.ResizeMode.Stretch)
        self.table.cellChanged.connect(self._reword)
        self._words = QLabel("")
        self._words.setProperty("role", "quiet")
        self._words.setWordWrap(True)
        self._try = _button("Try it", "See the strokes on the bench as the athlete will.")
        self._try.setCheckable(True)
        self._try.toggled.connect(lambda _on: self._show())
        self._lay_out()
        session.state_changed.connect(self._take_state)
        self._show()

    def _lay_out(self) -> None:
        row = QHBoxLayout()
        for text, tip, run in (
            ("Add this stroke", "The stroke under the playhead.", self._add_this),
            ("Add both", "The two strokes of the comparison on screen.", self._add_both),
            ("Remove", "Take the chosen stroke out.", self._remove),
            ("Other order", "Draw another order.", self._draw_order),
            ("Show", "Go to the chosen stroke on the bench.", self._go),
        ):
            button = _button(text, tip)
            button.clicked.connect(lambda _on=False, run=run: run())
            row.addWidget(button)
        row.addWidget(self._try)
        row.addStretch(1)
        close = QDialogButtonBox(QDialogButtonBox.StandardButton.Close)
        close.rejected.connect(self.reject)
        column = QVBoxLayout(self)
        column.addWidget(self._question)
        column.addWidget(self.table, 1)
        column.addLayout(row)
        column.addWidget(self._words)
        column.addWidget(close)

    @property
    def _items(self) -> tuple[SelfTestItem, ...]:
        test = self._session.state.self_test
        return test.items if test is not None else ()

    @property
    def _test(self) -> SelfTest:
        return self._session.state.self_test or SelfTest(())

    def _take_state(self, state: ReviewState, before: ReviewState) -> None:
        if state.self_test != before.self_test:
            self._show()

    def _show(self) -> None:
        held_back = self._try.isChecked()
        if not self._question.hasFocus():
            self._question.setText(self._test.question)
        with QSignalBlocker(self.table):
            self.table.setRowCount(len(self._items))
            for i, item in enumerate(self._items):
                self._fill(i, item, held_back)
        trying = "Choose a stroke and press Show; untick Try it for the answers."
        self._words.setText(EMPTY if not self._items else trying if held_back else HELD_BACK)

    def _fill(self, i: int, item: SelfTestItem, held_back: bool) -> None:
        name = QTableWidgetItem(f"{i + 1}" if held_back else item.stroke.label or "Stroke")
        name.setFlags(name.flags() & ~Qt.ItemFlag.ItemIsEditable)
        self.table.setItem(i, 0, name)
        why = QTableWidgetItem("" if held_back else item.why)
        why.setToolTip("Double click to say why.")
        if held_back:
            why.setFlags(why.flags() & ~Qt.ItemFlag.ItemIsEditable)
        self.table.setItem(i, 2, why)
        choice = QComboBox()
        choice.addItems(("wrong", "right") if not held_back else ("?", "wrong", "right"))
        if not held_back:
            choice.setCurrentIndex(int(item.right))
            choice.activated.connect(lambda at, i=i: self._judge(i, bool(at)))
        else:
            choice.activated.connect(lambda at, item=item: self._answer(item, at))
        self.table.setCellWidget(i, 1, choice)

    def _answer(self, item: SelfTestItem, chosen: int) -> None:
        """Tell whoever tries it how the stroke is, as the athlete is told."""
        if chosen:
            agreed = "Yes" if bool(chosen - 1) == item.right else "No"
            how = "right" if item.right else "wrong"
            self._words.setText(f"{agreed}: it is rowed {how}. {item.why}")

    def _add_this(self) -> None:
        stroke = self._this()
        if stroke is None:
            self._words.setText("There is no stroke here; go to one on the bench, then add it.")
            return
        self._add((stroke,))

    def _add_both(self) -> None:
        strokes = self._both()
        if not strokes:
            self._words.setText("No comparison is on screen; press C on the bench, then add both.")
            return
        self._add(strokes)

    def _add(self, strokes: tuple[StrokeRef, ...]) -> None:
        kept = [(i.stroke, i.right, i.why) for i in self._items]
        added = [(s, bool(s.source), "") for s in strokes]
        test = new_self_test([*kept, *added], _seed(), self._test.question)
        self._put(test)

    def _remove(self) -> None:
        row = self.table.currentRow()
        if 0 <= row < len(self._items):
            items = tuple(item for i, item in enumerate(self._items) if i != row)
            self._put(replace(self._test, items=items))

    def _draw_order(self) -> None:
        kept = [(i.stroke, i.right, i.why) for i in self._items]
        if kept:
            self._put(new_self_test(kept, _seed(), self._test.question))

    def _go(self) -> None:
        row = self.table.currentRow()
        if not 0 <= row < len(self._items):
            self._words.setText("Choose a stroke in the table first.")
            return
        stroke = self._items[row].stroke
        if stroke.source:
            self._words.setText("This stroke is of another recording; it is seen in the bundle.")
            return
        self.stroke_wanted.emit(stroke)

    def _judge(self, i: int, right: bool) -> None:
        self._edit(i, replace(self._items[i], right=right))

    def _reword(self, i: int, column: int) -> None:
        item = self.table.item(i, column)
        if column == 2 and item is not None and i < len(self._items):
            self._edit(i, replace(self._items[i], why=item.text()))

    def _edit(self, i: int, item: SelfTestItem) -> None:
        items = (*self._items[:i], item, *self._items[i + 1 :])
        self._put(replace(self._test, items=items))

    def _ask(self) -> None:
        if self._items and self._question.text() != self._test.question:
            self._put(replace(self._test, question=self._question.text()))

    def _put(self, test: SelfTest) -> None:
        self._session.do(SetSelfTest(test))


def _seed() -> int:
    return random.randrange(ORDERS)


def _button(text: str, tip: str) -> QToolButton:
    button = QToolButton()
    button.setText(text)
    button.setToolTip(tip)
    return button
