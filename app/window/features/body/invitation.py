"""Under a film alone: what following the body would give, and buttons that begin it."""

from __future__ import annotations

from PySide6.QtGui import QAction
from PySide6.QtWidgets import QFrame, QHBoxLayout, QLabel, QPushButton, QSizePolicy, QWidget

from app.window.session.review_session import ReviewSession

INVITES = (
    "Following the body counts the strokes of this film and shows what legs, trunk and arms do."
)


class FollowInvitation(QFrame):
    """There while a film stands without force and nobody was followed in it."""

    def __init__(
        self,
        session: ReviewSession,
        follow: QAction,
        by_hand: QAction,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self._session = session
        words = QLabel(INVITES)
        words.setProperty("role", "quiet")
        words.setWordWrap(True)
        words.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
        self.button, self.by_hand = _button(follow), _button(by_hand)
        row = QHBoxLayout(self)
        row.setContentsMargins(10, 2, 10, 2)
        row.addWidget(words, 1)
        row.addWidget(self.button)
        row.addWidget(self.by_hand)
        session.recordings_changed.connect(self._show)
        session.body_changed.connect(self._show)
        self._show()

    def _show(self) -> None:
        sent = self._session.submission
        alone = self._session.footage is not None and sent.piece is None
        self.setVisible(alone and sent.body is None)


def _button(action: QAction) -> QPushButton:
    button = QPushButton(action.text())
    button.setToolTip(action.statusTip())
    button.clicked.connect(action.trigger)
    return button
