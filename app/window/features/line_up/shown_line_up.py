"""The line-up to look at, in a window of its own."""

from __future__ import annotations

from PySide6.QtCore import QObject
from PySide6.QtWidgets import QMainWindow

from app.window.features.line_up.auto_line_up import AutoLineUp
from app.window.session.review_session import ReviewSession
from app.window.tasks.jobs import Jobs


class ShownLineUp(QObject):
    """Opens it; the keys of the bench work there too."""

    def __init__(
        self, session: ReviewSession, found: AutoLineUp, jobs: Jobs, window: QMainWindow
    ) -> None:
        super().__init__(window)
        self._session, self._found, self._jobs, self._window = session, found, jobs, window

    def show(self) -> None:
        """Open it."""
        from app.window.features.line_up.line_up_view import LineUpView

        view = LineUpView(self._session, self._found, self._jobs, self._window)
        view.addActions(self._window.actions())
        view.show()
