"""Asking how tall the athlete is."""

from __future__ import annotations

from PySide6.QtCore import QObject
from PySide6.QtWidgets import QInputDialog, QWidget

from app.review.parts.body import LEAST_STATURE_M, MOST_STATURE_M, SetStature
from app.window.session.review_session import ReviewSession
from app.window.tasks.message_line import Messages

NO_STATURE = (
    f"That is no stature: give metres from {LEAST_STATURE_M:.1f} to {MOST_STATURE_M:.1f}, such as "
    "1.84, or nothing where you do not know; it was left as it is."
)


class Stature(QObject):
    """The question, and what becomes of the answer.

    Attributes
    ----------
    dialog : where it is typed now, None while it is not
    """

    def __init__(self, session: ReviewSession, messages: Messages, window: QWidget | None) -> None:
        super().__init__(window)
        self._session, self._messages, self._window = session, messages, window
        self.dialog: QInputDialog | None = None

    def ask(self) -> None:
        """Ask for it; the window goes on meanwhile."""
        known = self._session.state.body.stature_m
        dialog = QInputDialog(self._window)
        dialog.setWindowTitle("Athlete's stature")
        dialog.setLabelText(
            "How tall is the athlete, in metres? Ways are then told in metres;\n"
            "without it they are shares of the body's length."
        )
        dialog.setTextValue("" if known is None else f"{known:.2f}")
        dialog.textValueSelected.connect(self.set)
        dialog.finished.connect(lambda _code: self._leave(dialog))
        self.dialog = dialog
        dialog.open()

    def set(self, text: str) -> None:
        """Take what was typed; nothing for nobody knows."""
        typed = text.strip().removesuffix("m").strip().replace(",", ".")
        try:
            stature_m = float(typed) if typed else None
        except ValueError:
            stature_m = -1.0
        if stature_m is not None and not LEAST_STATURE_M <= stature_m <= MOST_STATURE_M:
            self._messages.warn(NO_STATURE)
            return
        self._session.do(SetStature(stature_m))

    def _leave(self, dialog: QInputDialog) -> None:
        self.dialog = None
        dialog.deleteLater()
