"""Files that the coach drops or chooses, handed to whoever knows what they are."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path

from PySide6.QtCore import QObject

from app.window.session.review_session import ReviewSession

Taker = Callable[[Sequence[Path]], bool]


class IncomingFiles(QObject):
    """Asks everyone who opens files of a kind of their own; recordings and reviews are the rest."""

    def __init__(self, session: ReviewSession, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._session = session
        self._takers: list[Taker] = []

    def add(self, taker: Taker) -> None:
        """Ask this one too; it says whether it took them."""
        self._takers.append(taker)

    def open(self, paths: Sequence[Path]) -> None:
        """Open what was dropped or chosen."""
        if not any(taker(paths) for taker in self._takers):
            self._session.open_paths(paths)
