"""Reviews worked on lately, each by whose it is and when it was changed last."""

from __future__ import annotations

from dataclasses import dataclass
from functools import partial
from pathlib import Path

from PySide6.QtCore import QObject
from PySide6.QtGui import QCursor
from PySide6.QtWidgets import QMenu, QWidget

from app.review.parts.state import ReviewState
from app.window.session.recent_words import words_of
from app.window.session.review_session import ReviewSession
from app.window.session.settings import Settings

NONE_YET = "No review yet"


@dataclass(frozen=True)
class Recent:
    """One of them.

    Attributes
    ----------
    words : athlete, title and day, as far as they are known, else the file and its folder
    """

    path: Path
    words: str


class RecentReviews(QObject):
    """Knows whose the recent reviews are without opening them; lists them in a menu."""

    def __init__(self, session: ReviewSession, settings: Settings, window: QWidget) -> None:
        super().__init__(window)
        self._session, self._settings, self._window = session, settings, window
        self.menu = QMenu(window)
        self.menu.setToolTipsVisible(True)
        self.menu.aboutToShow.connect(self._fill)
        session.opened.connect(self.remember)
        session.opening.connect(self.remember)
        session.file_changed.connect(self.remember)

    def remember(self) -> None:
        """Keep whose the open review is."""
        review = self._session.review
        if review is not None and review.path is not None:
            state: ReviewState = review.state
            self._settings.tell_of(review.path, state.athlete.strip(), state.title.strip())

    def listed(self) -> tuple[Recent, ...]:
        """The newest first; of the open review what it says now."""
        open_now = self._session.review
        if open_now is not None:
            self.remember()
        return tuple(
            Recent(p, words_of(p, self._settings)) for p in self._settings.recent_reviews()
        )

    def show(self) -> None:
        """Let the coach choose one where the pointer is, as from the search."""
        self.menu.popup(QCursor.pos() if self.menu.isHidden() else self.menu.pos())

    def _fill(self) -> None:
        self.menu.clear()
        review = self._session.review
        for recent in self.listed():
            action = self.menu.addAction(recent.words.replace("&", "&&"))
            action.setToolTip(str(recent.path))
            action.setEnabled(review is None or review.path != recent.path)
            action.triggered.connect(partial(self._open, recent.path))
        if self.menu.isEmpty():
            self.menu.addAction(NONE_YET).setEnabled(False)

    def _open(self, path: Path, _checked: bool = False) -> None:
        self._session.open_review(path)
