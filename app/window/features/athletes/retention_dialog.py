"""The limit, what is older, and a yes that has to be given twice."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Final

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import (
    QCheckBox,
    QDialog,
    QHBoxLayout,
    QLabel,
    QListWidget,
    QListWidgetItem,
    QPushButton,
    QSpinBox,
    QVBoxLayout,
    QWidget,
)

from app.review.values.text import plain
from app.submission.my_defaults import MOST_MONTHS
from app.window.widgets.scroll_frame import fit_dialog

if TYPE_CHECKING:
    from app.window.features.athletes.retention import OldRow

ROLE: Final = Qt.ItemDataRole.UserRole
ABOUT: Final = (
    "A review counts from the last thing that happened to it: rowed, sent to the athlete, or "
    "answered. Nothing is ever deleted by itself."
)
LOOKING: Final = "Looking for what is older …"
NONE_OLD: Final = "Nothing is older than that."
NO_LIMIT: Final = "No limit is set, so nothing is listed."
DELETE, SURE = "Delete …", "Yes, delete for good"


class RetentionDialog(QDialog):
    """Rows with a tick, an athlete each; unticked ones stay.

    Attributes
    ----------
    limit : months; 0 for no limit
    rows : what is older
    remains : what a deletion could not reach
    """

    limit_changed = Signal(int)
    delete_wanted = Signal(list, bool)  # the rows ticked, whether the recordings go as well

    def __init__(self, months: int, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWindowTitle("Reviews kept too long")
        self.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        self.limit = QSpinBox()
        self.limit.setRange(0, MOST_MONTHS)
        self.limit.setSpecialValueText("no limit")
        self.limit.setSuffix(" months")
        self.limit.setKeyboardTracking(False)
        self.limit.setValue(months)
        self.limit.setAccessibleName("How long reviews are kept")
        self.limit.setToolTip("Your limit for all reviews, here and for the command.")
        about = QLabel(ABOUT)
        about.setWordWrap(True)
        about.setProperty("role", "quiet")
        self.rows = QListWidget()
        self.rows.setAccessibleName("Reviews older than the limit")
        self.state = QLabel()
        self.state.setWordWrap(True)
        self.media = QCheckBox("Delete their films and force files as well")
        self.remains = QLabel()
        self.remains.setWordWrap(True)
        self.remains.setTextFormat(Qt.TextFormat.PlainText)
        self.remains.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        self.delete = QPushButton(SURE)
        self.delete.setMinimumWidth(self.delete.sizeHint().width())  # for either of its words
        self.delete.setAutoDefault(False)
        self.delete.setToolTip("Delete what is ticked; asked once more before it is done.")
        self._lay_out(about)
        self.limit.valueChanged.connect(self.limit_changed)
        self.rows.itemChanged.connect(lambda _item: self._ask_again())
        self.media.toggled.connect(lambda _on: self._ask_again())
        self.delete.clicked.connect(self._go_on)
        self.show_rows(())
        fit_dialog(self, 620, 460)

    @property
    def ticked(self) -> list[OldRow]:
        """The rows that are to go."""
        items = (self.rows.item(row) for row in range(self.rows.count()))
        return [i.data(ROLE) for i in items if i.checkState() is Qt.CheckState.Checked]

    def say_looking(self) -> None:
        """Show that the library is asked."""
        self.rows.clear()
        self.state.setText(LOOKING)
        self._ask_again()

    def show_rows(self, rows: Sequence[OldRow]) -> None:
        """Show what is older; nothing is ticked before the coach ticks it."""
        self.rows.clear()
        for row in rows:
            item = QListWidgetItem(words_of(row))
            item.setData(ROLE, row)
            item.setFlags(item.flags() | Qt.ItemFlag.ItemIsUserCheckable)
            item.setCheckState(Qt.CheckState.Unchecked)
            item.setToolTip("\n".join(map(str, _files(row))) or "No file of theirs was found.")
            self.rows.addItem(item)
        self.state.setText("" if rows else NONE_OLD if self.limit.value() else NO_LIMIT)
        self._ask_again()

    def show_remains(self, said: Sequence[str]) -> None:
        """Say what could not be reached."""
        self.remains.setText("\n".join(["What remains elsewhere:", *said]) if said else "")
        self.remains.setVisible(bool(said))

    def _lay_out(self, about: QLabel) -> None:
        top = QHBoxLayout()
        top.addWidget(QLabel("Keep reviews for"))
        top.addWidget(self.limit)
        top.addStretch(1)
        close = QPushButton("Close")
        close.clicked.connect(self.close)
        end = QHBoxLayout()
        end.addWidget(self.delete)
        end.addStretch(1)
        end.addWidget(close)
        column = QVBoxLayout(self)
        column.addLayout(top)
        column.addWidget(about)
        column.addWidget(self.rows, 1)
        for widget in (self.state, self.media, self.remains):
            column.addWidget(widget)
        column.addLayout(end)
        self.remains.hide()

    def _ask_again(self) -> None:
        """A yes holds for what was ticked when it was given."""
        self.delete.setText(DELETE)
        self.delete.setEnabled(bool(self.ticked))
        self.state.setVisible(bool(self.state.text()))
        self.media.setEnabled(self.rows.count() > 0)

    def _go_on(self) -> None:
        if self.delete.text() == DELETE:
            count = sum(len(_files(row)) for row in self.ticked)
            self.state.setText(
                f"{count} review files and versions"
                + (", and the recordings," if self.media.isChecked() else "")
                + " will be gone for good, and so will what the library knows of them."
            )
            self.state.show()
            self.delete.setText(SURE)
            self.delete.setMinimumWidth(self.delete.sizeHint().width())
            return
        rows = self.ticked
        self.state.setText("Deleting …")
        self.delete.setEnabled(False)
        self.delete_wanted.emit(rows, self.media.isChecked())


def words_of(row: OldRow) -> str:
    """One athlete: since when nothing happened, and how much of theirs is listed."""
    old, reviews = row.old, row.old.reviews
    whole = "all there is of them" if old.whole else "newer reviews stay"
    if not reviews:
        return f"{plain(old.name)}  ·  no review  ·  {whole}"
    last = reviews[-1].last if len(reviews) == 1 else f"{reviews[0].last} to {reviews[-1].last}"
    count = f"{len(reviews)} review{'s' if len(reviews) > 1 else ''}"
    return f"{plain(old.name)}  ·  {count}, {last}  ·  {whole}"


def _files(row: OldRow) -> list[object]:
    return [*row.deletion.files.reviews.values(), *row.deletion.versions]
