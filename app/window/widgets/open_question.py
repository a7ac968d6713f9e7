"""One question at a time, which may be dropped before it is answered."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QAbstractButton, QMessageBox, QWidget


class OpenQuestion:
    """What is asked now, and what each answer does.

    Attributes
    ----------
    box : the box on screen, None while nothing is asked
    """

    def __init__(self) -> None:
        self.box: QMessageBox | None = None

    def ask(
        self,
        box: QMessageBox,
        answers: Mapping[QAbstractButton, Callable[[], None]],
        otherwise: Callable[[], None],
    ) -> None:
        """Show it; the button's own answer is called, `otherwise` for any other way out."""

        def answered() -> None:
            if box is not self.box:
                return  # it was dropped while it was asked
            self.box = None
            clicked = box.clickedButton()
            box.deleteLater()
            answers.get(clicked, otherwise)()

        box.finished.connect(lambda _code: answered())
        self.box = box
        box.open()

    def drop(self) -> None:
        """Nobody needs the answer any more."""
        box, self.box = self.box, None
        if box is not None:
            box.close()
            box.deleteLater()


def question_box(window: QWidget | None, title: str, said: str, more: str) -> QMessageBox:
    """Make a box of plain text, still without its buttons."""
    box = QMessageBox(window)
    box.setWindowTitle(title)
    box.setTextFormat(Qt.TextFormat.PlainText)
    box.setText(said)
    box.setInformativeText(more)
    return box
