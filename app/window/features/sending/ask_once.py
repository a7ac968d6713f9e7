"""The question before a bundle is written that seems to lack something, in the place of a button.

Menu, check and panel ask alike: once a review, and what was said then is not asked again.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from PySide6.QtWidgets import QLabel, QPushButton

from app.review.parts.state import ReviewState

if TYPE_CHECKING:
    from app.window.features.sending.sending import Sending

NOT_YET = "Nothing was written yet. {missing}"


class AskOnce:
    """Turns a button that writes into one that asks first.

    Parameters
    ----------
    button : what writes; it says so while it asks
    said : where the question stands
    anyway : what the button says then
    """

    def __init__(self, sending: Sending, button: QPushButton, said: QLabel, anyway: str) -> None:
        self._sending, self._button, self._said = sending, button, said
        self._usual, self._anyway = button.text(), anyway
        self._asked_about: tuple[str, ...] = ()

    @property
    def is_asking(self) -> bool:
        """Whether the question stands there."""
        return bool(self._asked_about)

    def before(self, write: Callable[[], None]) -> None:
        """Write; where something seems to be missing, only once it was asked about."""
        missing = self._sending.missing()
        if missing and missing != self._asked_about:
            self._asked_about = missing
            self._said.setText(NOT_YET.format(missing=" ".join(missing)))
            self._button.setText(self._anyway)
            return
        if missing:
            self._sending.go_without()
            self._rest()
        write()

    def renew(self, *_changed: ReviewState) -> None:
        """Something was settled: ask anew, about what is missing then."""
        if self._asked_about and self._sending.missing() != self._asked_about:
            self._rest()

    def _rest(self) -> None:
        self._asked_about = ()
        self._button.setText(self._usual)
        self._said.setText("")
