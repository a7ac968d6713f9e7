"""Copies that hold what could not be saved in its place, until the coach has dealt with them."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from pathlib import Path

from PySide6.QtCore import QObject, Qt, QUrl, Signal
from PySide6.QtGui import QDesktopServices
from PySide6.QtWidgets import (
    QDialog,
    QHBoxLayout,
    QLabel,
    QPushButton,
    QToolButton,
    QVBoxLayout,
    QWidget,
)

from app.review.values.text import clean_name
from app.window.session.review_session import ReviewSession
from app.window.session.safekeeping import copies_of
from app.window.session.settings import data_folder
from app.window.tasks.message_line import Messages, Offer
from app.window.widgets.elided_label import ElidedLabel

HEADING = "Copies with work that could not be saved in its place"
NONE = "There are none: everything was saved in its place."
LIST = "Rescued copies …"


class RescuedCopies(QObject):
    """Tells of rescued copies when the bench starts and when a review is opened."""

    def __init__(self, session: ReviewSession, messages: Messages, window: QWidget | None) -> None:
        super().__init__(window)
        self._session, self._messages, self._window = session, messages, window
        self._told = False  # of those of other reviews, once in a run
        session.opened.connect(self._look)

    def show(self) -> None:
        """Show them all."""
        RescuedDialog(self._session, self._window).show()

    def _look(self) -> None:
        review = self._session.review
        if review is None or review.path is None:
            return
        beside = copies_of(review.path)
        others = [copy for copy in listed() if copy != review.path]
        everything = Offer(LIST, self.show)
        # What was said of the review's recordings on opening must not go under.
        if beside:
            newest = beside[-1]
            self._messages.warn_too(
                f"Work that could not be saved in {clean_name(review.path.name)} lies in a copy, "
                f"{clean_name(newest.name)}.",
                Offer("Open the copy", partial(self._session.open_review, newest)),
                everything,
            )
        elif others and not self._told:
            many = "a copy" if len(others) == 1 else f"{len(others)} copies"
            self._messages.warn_too(
                f"Work that could not be saved last time lies in {many}.", everything
            )
        self._told = True


class RescuedRows(QWidget):
    """One row for each copy, with what can be done about it."""

    changed = Signal()

    def __init__(self, open_review: Callable[[Path], None], parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._open = open_review
        self._column = QVBoxLayout(self)
        self._column.setContentsMargins(0, 0, 0, 0)
        self._column.setSpacing(4)
        self.renew()

    def renew(self) -> None:
        """Show those there are now."""
        while (item := self._column.takeAt(0)) is not None:
            old = item.widget()
            if old is not None:
                old.hide()
                old.deleteLater()
        copies = listed()
        for copy in reversed(copies):
            self._column.addWidget(self._row(copy))
        self.setVisible(bool(copies))

    def _row(self, copy: Path) -> QWidget:
        row = QWidget()
        line = QHBoxLayout(row)
        line.setContentsMargins(0, 0, 0, 0)
        name = ElidedLabel(clean_name(copy.stem))
        name.setToolTip(str(copy))
        line.addWidget(name, 1)
        for text, tip, run in (
            ("Open", "Open this copy; Save as puts it where it belongs.", self._open_copy),
            ("Show in folder", "Show the folder this copy lies in.", _show_folder),
            (
                "Remove from this list",
                "You need no more reminding of this copy; the file stays where it is.",
                self._put_away,
            ),
        ):
            button = QToolButton()
            button.setText(text)
            button.setToolTip(tip)
            button.setAccessibleName(f"{text}: {clean_name(copy.stem)}")
            button.clicked.connect(partial(run, copy))
            line.addWidget(button)
        return row

    def _open_copy(self, copy: Path, _checked: bool = False) -> None:
        self._open(copy)

    def _put_away(self, copy: Path, _checked: bool = False) -> None:
        from app.review.rescue import put_away

        put_away(data_folder(), copy)
        self.renew()
        self.changed.emit()


class RescuedDialog(QDialog):
    """All copies there are."""

    def __init__(self, session: ReviewSession, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWindowTitle("Rescued copies")
        self.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        self.words = QLabel()
        self.words.setWordWrap(True)
        self.rows = RescuedRows(session.open_review, self)
        self.rows.changed.connect(self._show_words)
        done = QPushButton("Done")
        done.setDefault(True)
        done.clicked.connect(self.accept)
        column = QVBoxLayout(self)
        column.addWidget(self.words)
        column.addWidget(self.rows)
        column.addStretch(1)
        column.addWidget(done, 0, Qt.AlignmentFlag.AlignRight)
        self._show_words()
        self.resize(640, 200)

    def _show_words(self) -> None:
        self.words.setText(f"{HEADING}:" if listed() else NONE)


def listed() -> tuple[Path, ...]:
    """The copies there are, the newest last."""
    from app.review.rescue import rescued

    return rescued(data_folder())


def _show_folder(copy: Path, _checked: bool = False) -> None:
    QDesktopServices.openUrl(QUrl.fromLocalFile(str(copy.parent)))
