"""Reviews worked on lately, each by whose it is and when it was changed last."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from functools import partial
from pathlib import Path

from PySide6.QtCore import QObject
from PySide6.QtGui import QCursor
from PySide6.QtWidgets import QMenu, QWidget

from app.review.parts.state import ReviewState
from app.review.values.text import clean_name, plain
from app.window.session.review_session import ReviewSession
from app.window.session.settings import Settings

NONE_YET = "No review yet"
LONGEST = 40  # letters of a name in a list


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
        return tuple(Recent(p, self._words(p)) for p in self._settings.recent_reviews())

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

    def _words(self, path: Path) -> str:
        athlete, title = self._settings.told_of(path)
        file = clean_name(path.stem)
        parts = [athlete, title or file] if athlete else [title or file, path.parent.name]
        parts = [plain(part, LONGEST) for part in parts if part]
        return "  ·  ".join(filter(None, (*parts, day_of(path))))


def day_of(path: Path, today: date | None = None) -> str:
    """When a file was changed last, in a word or as a date; "" where it cannot be told."""
    try:
        changed = datetime.fromtimestamp(path.stat().st_mtime).astimezone()
    except (OSError, OverflowError, ValueError):
        return ""
    now = today or datetime.now().astimezone().date()
    if changed.date() == now:
        return f"today {changed:%H:%M}"
    if changed.date() == now - timedelta(days=1):
        return "yesterday"
    return f"{changed.day} {changed:%b %Y}"
