"""The marks that stand on the picture."""

from __future__ import annotations

from PySide6.QtCore import QObject, Signal

from app.review.parts.marks import Mark
from app.review.parts.state import ReviewState
from app.window.session.review_session import ReviewSession


class ShownMarks(QObject):
    """The review's marks, or those a walkthrough shows in their place while it is played."""

    changed = Signal()

    def __init__(self, session: ReviewSession, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._session = session
        self._instead: tuple[Mark, ...] | None = None
        session.state_changed.connect(self._take_state)

    @property
    def marks(self) -> tuple[Mark, ...]:
        """The marks of every frame."""
        return self._session.state.marks if self._instead is None else self._instead

    @property
    def metres_per_px(self) -> float | None:
        """The review's scale."""
        return self._session.state.metres_per_px

    def show_instead(self, marks: tuple[Mark, ...] | None) -> None:
        """Show these marks; None: the review's own again."""
        self._instead = marks
        self.changed.emit()

    def _take_state(self, state: ReviewState, before: ReviewState) -> None:
        if (state.marks, state.metres_per_px) != (before.marks, before.metres_per_px):
            self.changed.emit()
