"""What a deletion would take away, as a list with ticks, and a yes that has to be given twice."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from PySide6.QtCore import QSize, Qt, Signal
from PySide6.QtWidgets import (
    QCheckBox,
    QDialog,
    QHBoxLayout,
    QLabel,
    QLayout,
    QListWidget,
    QListWidgetItem,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from app.review.values.text import plain
from app.window.widgets.scroll_frame import ScrollFrame, fit_dialog

if TYPE_CHECKING:
    from app.library.deleting import Deletion
    from app.library.retention import Old

ROLE: Final = Qt.ItemDataRole.UserRole
LOOKING: Final = "Looking for what there is …"
DELETE, SURE = "Delete …", "Yes, delete for good"
REMAINS: Final = "What remains elsewhere:"
_LEAST_REMAINS_PX: Final = 64
_MOST_REMAINS_PX: Final = 140


@dataclass(frozen=True)
class OldRow:
    """What of an athlete may go, and what deleting it would take away."""

    old: Old
    deletion: Deletion


class DeletionDialog(QDialog):
    """Rows with a tick, an athlete each; unticked ones stay.

    Attributes
    ----------
    rows : what may go
    media : whether the recordings go as well
    remains : what a deletion cannot reach
    """

    delete_wanted = Signal(list, bool)  # the rows ticked, whether the recordings go as well

    def __init__(self, title: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWindowTitle(title)
        self.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        self.rows = QListWidget()
        self.state = QLabel()
        self.state.setWordWrap(True)
        self.state.setTextFormat(Qt.TextFormat.PlainText)
        self.state.setAlignment(Qt.AlignmentFlag.AlignTop)
        self.media = QCheckBox("Delete their films and force files as well")
        self.remains = QLabel()
        self.remains.setWordWrap(True)
        self.remains.setTextFormat(Qt.TextFormat.PlainText)
        self.remains.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        self.remains.setAlignment(Qt.AlignmentFlag.AlignTop)
        self._remains = ScrollFrame(self.remains, QSize(0, _LEAST_REMAINS_PX))
        self._remains.setMaximumHeight(_MOST_REMAINS_PX)  # years of bundles are many lines
        self.delete = QPushButton(SURE)
        self.delete.setMinimumWidth(self.delete.sizeHint().width())  # for either of its words
        self.delete.setAutoDefault(False)
        self.delete.setToolTip("Delete what is ticked; asked once more before it is done.")
        self.rows.itemChanged.connect(lambda _item: self._ask_again())
        self.media.toggled.connect(lambda _on: self._ask_again())
        self.delete.clicked.connect(self._go_on)

    @property
    def ticked(self) -> list[OldRow]:
        """The rows that are to go."""
        items = (self.rows.item(row) for row in range(self.rows.count()))
        return [i.data(ROLE) for i in items if i.checkState() is Qt.CheckState.Checked]

    def nothing(self) -> str:
        """What is said where there is no row."""
        return ""

    def say_looking(self, words: str = LOOKING) -> None:
        """Show that the library is asked."""
        self.rows.clear()
        self.say(words)

    def say(self, words: str) -> None:
        """Say where it stands; a yes has to be given anew."""
        self.state.setText(words)
        self._ask_again()

    def show_rows(self, rows: Sequence[OldRow]) -> None:
        """Show what may go; nothing is ticked before the coach ticks it."""
        self.rows.clear()
        for row in rows:
            item = QListWidgetItem(words_of(row))
            item.setData(ROLE, row)
            item.setFlags(item.flags() | Qt.ItemFlag.ItemIsUserCheckable)
            item.setCheckState(Qt.CheckState.Unchecked)
            item.setToolTip("\n".join(map(str, files_of_row(row))) or "No file was found.")
            self.rows.addItem(item)
        self.say("" if rows else self.nothing())

    def show_remains(self, said: Sequence[str]) -> None:
        """Say what cannot be reached."""
        self.remains.setText("\n".join([REMAINS, *said]) if said else "")
        self._remains.setVisible(bool(said))

    def lay_out(self, *above: QWidget | QLayout) -> None:
        """Stand in a column, with what the kind of dialog has over the rows."""
        close = QPushButton("Close")
        close.clicked.connect(self.close)
        end = QHBoxLayout()
        end.addWidget(self.delete)
        end.addStretch(1)
        end.addWidget(close)
        column = QVBoxLayout(self)
        for part in above:
            if isinstance(part, QWidget):
                column.addWidget(part)
            else:
                column.addLayout(part)
        column.addWidget(self.rows, 1)
        for widget in (self.state, self.media, self._remains):
            column.addWidget(widget)
        column.addLayout(end)
        self._remains.hide()
        fit_dialog(self, 620, 460)

    def _ask_again(self) -> None:
        """A yes holds for what was ticked when it was given."""
        self.delete.setText(DELETE)
        self.delete.setEnabled(bool(self.ticked))
        self.state.setVisible(bool(self.state.text()))
        self.media.setEnabled(self.rows.count() > 0)

    def _go_on(self) -> None:
        if self.delete.text() == DELETE:
            count = sum(len(files_of_row(row)) for row in self.ticked)
            self.state.setText(
                f"{count} review file{'' if count == 1 else 's'}, versions counted,"
                + (" and the recordings" if self.media.isChecked() else "")
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


def files_of_row(row: OldRow) -> list[object]:
    """Review files and versions that go, the recordings aside."""
    return [*row.deletion.files.reviews.values(), *row.deletion.versions]
