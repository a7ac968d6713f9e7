"""Which comparisons and walkthroughs are sent, and whether the self-test is: a tick each."""

from __future__ import annotations

from PySide6.QtCore import QSignalBlocker, QSize, Qt, Signal
from PySide6.QtWidgets import QLabel, QListWidget, QListWidgetItem, QVBoxLayout, QWidget

from app.review.parts.sending import SELF_TEST
from app.review.parts.state import ReviewState
from app.review.parts.walk_timing import timing_of
from app.window.widgets.clock_text import clock_text

_ID = Qt.ItemDataRole.UserRole
_ROW_PX = 24
_MOST_ROWS = 6  # more are scrolled to
EMPTY = (
    "There is nothing side by side and no walkthrough yet. On the bench, Shift+C compares two"
    " strokes and F9 records a walkthrough."
)


class PartsPicker(QWidget):
    """What goes along with the notes; what is made later is sent until its tick is taken away."""

    left_out = Signal(str, bool)  # id of a part, and whether it stays here

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.list = QListWidget()
        self.list.setAccessibleName("Comparisons and walkthroughs to send")
        self.list.setToolTip("Tick what is sent (Space).")
        self.list.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.said = QLabel("")
        self.said.setProperty("role", "quiet")
        self.said.setWordWrap(True)
        heading = QLabel("Side by side and walkthroughs that are sent")
        heading.setProperty("role", "heading")
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(heading)
        column.addWidget(self.list)
        column.addWidget(self.said)
        self.list.itemChanged.connect(self._tell)

    def show_parts(self, state: ReviewState) -> None:
        """Show what a review has."""
        parts, here = parts_of(state), self.list.currentRow()
        with QSignalBlocker(self.list):
            self.list.clear()
            for part_id, words in parts:
                self.list.addItem(_item(part_id, words, part_id not in state.sending.left_out))
            self.list.setCurrentRow(min(max(here, 0), len(parts) - 1))
        self.list.setVisible(bool(parts))
        rows = min(max(len(parts), 1), _MOST_ROWS)
        self.list.setFixedHeight(rows * _ROW_PX + 2 * self.list.frameWidth() + 2)
        sent = sum(part_id not in state.sending.left_out for part_id, _words in parts)
        counted = (
            "All of it is sent." if sent == len(parts) else f"{sent} of {len(parts)} are sent."
        )
        self.said.setText(counted if parts else EMPTY)

    def _tell(self, item: QListWidgetItem) -> None:
        self.left_out.emit(str(item.data(_ID)), item.checkState() != Qt.CheckState.Checked)


def parts_of(state: ReviewState) -> tuple[tuple[str, str], ...]:
    """Id and words of everything that can go along with the notes, in the order of the page."""
    walks = [
        (
            walk.id,
            f"{_named('Walkthrough', walk.title, i)}  {clock_text(timing_of(walk).length_s, 0)}",
        )
        for i, walk in enumerate(state.walkthroughs, start=1)
    ]
    pairs = [
        (c.id, _named("Side by side", c.title, i)) for i, c in enumerate(state.comparisons, start=1)
    ]
    test = state.self_test
    asked = [] if test is None else [(SELF_TEST, f"Self-test of {len(test.items)} strokes")]
    return (*walks, *pairs, *asked)


def _named(what: str, title: str, number: int) -> str:
    return f"{what}: {title}" if title else f"{what} {number}"


def _item(part_id: str, words: str, sent: bool) -> QListWidgetItem:
    item = QListWidgetItem(words if sent else f"not sent  {words}")
    item.setSizeHint(QSize(0, _ROW_PX))
    item.setData(_ID, part_id)
    item.setToolTip(words)
    item.setFlags(
        Qt.ItemFlag.ItemIsEnabled | Qt.ItemFlag.ItemIsSelectable | Qt.ItemFlag.ItemIsUserCheckable
    )
    item.setCheckState(Qt.CheckState.Checked if sent else Qt.CheckState.Unchecked)
    return item
