"""What stands in the picture's place while nothing is open: how to begin."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import partial

from PySide6.QtCore import Qt
from PySide6.QtGui import QAction, QPalette, QShowEvent
from PySide6.QtWidgets import QLabel, QPushButton, QVBoxLayout, QWidget

from app.window.features.review_file.recent import RecentReviews
from app.window.features.review_file.rescued_copies import HEADING, RescuedRows
from app.window.session.review_session import ReviewSession
from app.window.views.stage import Stage

INVITES = "Drop an athlete's footage and force file here"
WIDE_PX = 640
SHOWN = 4  # reviews worked on lately


class Invitation(QWidget):
    """Comes to the front of the stage while there is nothing to look at, and leaves by itself."""

    def __init__(self, stage: Stage, session: ReviewSession, recent: RecentReviews) -> None:
        super().__init__()
        self.setBackgroundRole(QPalette.ColorRole.Base)
        self.setAutoFillBackground(True)
        self._stage, self._session, self._recent = stage, session, recent
        self._column = QVBoxLayout(self)
        self._column.setAlignment(Qt.AlignmentFlag.AlignCenter)
        self._column.setSpacing(8)
        self._rescued = RescuedRows(session.open_review)
        self._rescued.setMaximumWidth(WIDE_PX)
        self._rescued_words = QLabel(HEADING)
        self._lately = QVBoxLayout()
        self._lately.setSpacing(4)
        stage.add_welcome(self)
        session.recordings_changed.connect(self._follow)
        session.first_frame.connect(self._leave)

    def lay_out(self, actions: Mapping[str, QAction]) -> None:
        """Offer the actions that begin."""
        words = QLabel(INVITES)
        words.setProperty("role", "heading")
        words.setAlignment(Qt.AlignmentFlag.AlignCenter)
        self._column.addWidget(words)
        self._column.addSpacing(4)
        for name in ("open", "sample", "tour"):
            action = actions.get(name)
            if action is None:
                continue
            key = action.shortcut().toString()
            text = f"{action.text()}   {key}" if key else action.text()
            button = _button(text, action.statusTip(), action.trigger)
            self._column.addWidget(button, 0, Qt.AlignmentFlag.AlignHCenter)
        self._column.addSpacing(12)
        self._column.addLayout(self._lately)
        self._rescued_words.setProperty("role", "quiet")
        self._rescued_words.setAlignment(Qt.AlignmentFlag.AlignCenter)
        self._column.addSpacing(12)
        self._column.addWidget(self._rescued_words)
        self._column.addWidget(self._rescued, 0, Qt.AlignmentFlag.AlignHCenter)
        self._rescued.changed.connect(self._show_rescued)
        self._follow()

    def showEvent(self, event: QShowEvent) -> None:
        """Offer what was worked on lately."""
        super().showEvent(event)
        self._rescued.renew()
        self._show_rescued()
        while (item := self._lately.takeAt(0)) is not None:
            old = item.widget()
            if old is not None:
                old.deleteLater()
        reviews = self._recent.listed()[:SHOWN]
        if reviews:
            heading = QLabel("Go on with")
            heading.setProperty("role", "quiet")
            heading.setAlignment(Qt.AlignmentFlag.AlignCenter)
            self._lately.addWidget(heading)
        for review in reviews:
            run = partial(self._session.open_review, review.path)
            button = _button(review.words.replace("&", "&&"), str(review.path), run)
            self._lately.addWidget(button, 0, Qt.AlignmentFlag.AlignHCenter)

    def _show_rescued(self) -> None:
        self._rescued_words.setVisible(not self._rescued.isHidden())

    def _follow(self) -> None:
        session = self._session
        shown = session.footage is not None or session.submission.piece is not None
        empty = not shown and session.review is None
        if empty:
            self._stage.setCurrentWidget(self)
        else:
            self._leave()

    def _leave(self, *_seen: object) -> None:
        if self._stage.currentWidget() is self:
            self._stage.go_home()


def _button(text: str, tip: str, run: Callable[[], object]) -> QPushButton:
    button = QPushButton(text)
    button.setToolTip(tip)
    button.setMinimumWidth(330)
    button.clicked.connect(lambda: run())
    return button
