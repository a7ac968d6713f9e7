"""The measures of two strokes, with what is between them and whether strokes vary that much."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QColor, QFont
from PySide6.QtWidgets import QAbstractItemView, QHeaderView, QTableWidget, QTableWidgetItem

from analysis.comparing.mean_error import FEW
from analysis.comparing.variation import FEWEST
from app.bundle.wording.measure_words import BY_NAME
from app.window.widgets import theme

if TYPE_CHECKING:
    from analysis.comparing.variation import MeasureRow
    from app.bundle.wording.measure_words import MeasureWord

HEADINGS = ("Measure", "Left", "Right", "Diff.", "Spread", "Variation")
HINT = "▲ perhaps"  # more, but not surely
HINT_WORDS = f"▲ perhaps: look again, with {FEW} strokes or more."
# How far the whole table may be trusted: see docs/comparing.md.
TABLE_WORDS = (
    "Where nothing changed, one table in twenty shows ▲ more. Ranges hold slow wander of a fifth "
    "of the variation. Day form and more wander are not in them."
)
BOTH_SEEN = (
    "Both from the picture: drive and recovery run from turn to turn of the hands, which is some "
    "tenths of a second longer than the drive under force."
)
ONE_SEEN = (
    "One stroke is from the picture, the other from force: drive, recovery and rhythm are not the "
    "same thing there and are left out."
)
VERDICTS = {"more": "▲ more", "within": "within", "too_few": "too few"}
BASES = {
    "means": "Means of {left_count} and {right_count} strokes, each with its spread.",
    "one_of_many": "One stroke against the mean of many.",
    "same_piece": "Two strokes of one piece, judged by its other strokes.",
    "": "Too few strokes on either side to say how they vary.",
}
_SAID = {
    "more": "more than strokes vary anyway",
    "within": "within what strokes vary anyway",
    "too_few": "too few strokes to say whether that is more than they vary",
}
DOUBTS = {
    "few": "so few strokes do not show how alike they are",
    "slow": "the strokes change slowly, by more than a range can hold",
    "chance": "slow wander, or one of many measures by chance, could look like that",
    "": "it should be seen again",
}
_SMALLER = 0.92  # so that the names of the measures are whole beside five columns


class MeasureTable(QTableWidget):
    """One row a measure; a row that is chosen is told as a sentence."""

    told = Signal(str)  # the sentence, "" where no row is chosen

    def __init__(self) -> None:
        super().__init__(0, len(HEADINGS))
        self.setAccessibleName("Measures of the two strokes")
        self.setHorizontalHeaderLabels(HEADINGS)
        font = self.font()
        font.setPointSizeF(_SMALLER * font.pointSizeF())
        self.setFont(font)
        self.horizontalHeader().setFont(font)
        self.verticalHeader().hide()
        self.verticalHeader().setDefaultSectionSize(self.fontMetrics().height() + 6)
        self.setShowGrid(False)
        self.setWordWrap(False)
        self.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        self.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
        self.setFocusPolicy(Qt.FocusPolicy.ClickFocus)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setTextElideMode(Qt.TextElideMode.ElideRight)
        self.setSelectionMode(QAbstractItemView.SelectionMode.SingleSelection)
        self._rows: tuple[MeasureRow, ...] = ()
        self.itemSelectionChanged.connect(self._tell)
        header = self.horizontalHeader()
        header.setSectionResizeMode(QHeaderView.ResizeMode.ResizeToContents)
        header.setSectionResizeMode(0, QHeaderView.ResizeMode.Stretch)
        header.setHighlightSections(False)
        theme.follow(self._dress)

    def _dress(self) -> None:
        self.setStyleSheet(f"QHeaderView::section {{ color: {theme.QUIET}; border: 0; }}")
        self.show_rows(self._rows)

    def show_rows(self, rows: tuple[MeasureRow, ...]) -> None:
        """Show these rows."""
        self._rows = rows
        self.setRowCount(len(rows))
        for i, row in enumerate(rows):
            for j, text in enumerate(cells(row)):
                item = QTableWidgetItem(text)
                item.setToolTip(sentence(row))
                if j:
                    aligned = Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter
                    item.setTextAlignment(aligned)
                if row.verdict == "more":
                    font = QFont(self.font())
                    font.setBold(j in (3, 5))
                    item.setFont(font)
                elif j == 5:
                    item.setForeground(QColor(theme.QUIET))
                self.setItem(i, j, item)

    def _tell(self) -> None:
        chosen = self.selectedItems()
        self.told.emit(sentence(self._rows[chosen[0].row()]) if chosen else "")


def cells(row: MeasureRow) -> tuple[str, ...]:
    """What stands in the columns of HEADINGS; the spread is that of the side that varies more."""
    word = BY_NAME[row.name]
    name = f"{word.title}, {word.unit}" if word.unit else word.title
    apart = word.show_difference(row.left, row.right)
    spread = max((sd for sd in (row.left_sd, row.right_sd) if sd is not None), default=None)
    return (
        name,
        word.show(row.left),
        word.show(row.right),
        apart,
        "–" if spread is None else f"± {word.show_spread(spread)}",
        HINT if row.hint and row.verdict == "more" else VERDICTS[row.verdict],
    )


def sentence(row: MeasureRow) -> str:
    """One row in words, with its spread and its interval."""
    word = BY_NAME[row.name]
    left, right = word.with_unit(row.left), word.with_unit(row.right)
    parts = [f"{word.title}: left {left}, right {right}."]
    if row.interval is not None:
        parts += _range_words(row, word)
    else:
        parts.append(f"{_SAID[row.verdict].capitalize()}.")
    return " ".join([*parts, *_spread_words(row, word)])


def _range_words(row: MeasureRow, word: MeasureWord) -> list[str]:
    """The difference with its ranges, and what speaks against them."""
    assert row.interval is not None
    told = row.shown or row.interval
    low, high = (word.show(end, signed=True) for end in (told.low, told.high))
    parts = [
        f"Right less left {word.show(told.difference, True)}, 95 % between {low} and"
        f" {high} {word.unit}".rstrip()
        + f": {_SAID[row.verdict]}."
    ]
    if told != row.interval:
        low, high = (word.show(end, signed=True) for end in (row.interval.low, row.interval.high))
        parts.append(f"Between {low} and {high}, if nothing wanders slowly.")
    if row.hint and row.verdict == "more":
        parts.append(f"Take it as a hint: {DOUBTS[row.doubt]}.")
    elif row.too_narrow:
        parts.append(f"The range may be too narrow: {DOUBTS[row.doubt]}.")
    return parts


def _spread_words(row: MeasureRow, word: MeasureWord) -> list[str]:
    spreads = [
        f"{side} ± {word.show_spread(sd)} over {count} strokes"
        for side, sd, count in (
            ("left", row.left_sd, row.left_count),
            ("right", row.right_sd, row.right_count),
        )
        if sd is not None
    ]
    return [f"From stroke to stroke: {', '.join(spreads)}."] if spreads else []


def basis_words(
    rows: tuple[MeasureRow, ...], from_picture: tuple[bool, bool] = (False, False)
) -> str:
    """What was compared, for the line under the table.

    Parameters
    ----------
    from_picture : whether the left and the right stroke were cut from the picture
    """
    known = [row for row in rows if row.basis] or list(rows)
    seen = BOTH_SEEN if all(from_picture) else ONE_SEEN if any(from_picture) else ""
    return " ".join(filter(None, (_varied(known), seen))) if known else ""


def _varied(known: Sequence[MeasureRow]) -> str:
    """What says how strokes vary."""
    row = known[0]
    if row.basis == "same_piece" and all(each.verdict == "too_few" for each in known):
        return f"Two strokes of one piece; it needs {FEWEST} others to say how strokes vary."
    basis = BASES[row.basis].format(left_count=row.left_count, right_count=row.right_count)
    said = [basis, HINT_WORDS] if any(each.hint for each in known) else [basis]
    return " ".join([*said, TABLE_WORDS] if row.basis else said)
