"""One line over the trace: how many strokes, and how footage and force stand to each other."""

from __future__ import annotations

from PySide6.QtWidgets import QLabel, QSizePolicy, QWidget

from app.review.parts.state import ReviewState
from app.window.features.line_up.auto_line_up import AutoLineUp
from app.window.features.line_up.line_up import describe_found
from app.window.session.review_session import ReviewSession

NO_FORCE = "No force. A force file dropped here adds the trace, the stroke's curve and a target."
FROM_PICTURE = "Strokes are counted from the picture."


class LineUpStatus(QLabel):
    """Follows the session by itself."""

    def __init__(
        self, session: ReviewSession, auto: AutoLineUp, parent: QWidget | None = None
    ) -> None:
        super().__init__("", parent)
        self._session = session
        self._auto = auto
        self.setProperty("role", "quiet")
        self.setContentsMargins(10, 1, 10, 1)
        # What stands here can be long; it takes more lines and never widens the window.
        self.setWordWrap(True)
        self.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
        session.recordings_changed.connect(self._show)
        session.body_changed.connect(self._show)
        session.state_changed.connect(self._take_state)
        auto.found.connect(self._take_found)
        self._show()

    def _take_state(self, state: ReviewState, before: ReviewState) -> None:
        if state.pairs != before.pairs or state.alignment != before.alignment:
            self._show()

    def _take_found(self, _found: object) -> None:
        self._show()

    def _show(self) -> None:
        footage, submission = self._session.footage, self._session.submission
        parts = []
        if submission.piece is not None:
            strokes = submission.piece.strokes
            odd = sum(1 for s in strokes if s.remark)
            parts.append(f"{len(strokes)} strokes" + (f", {odd} not whole" if odd else ""))
            if footage is not None:
                parts.append(describe_found(submission.state, self._auto.line_up))
        elif footage is not None:
            parts += [NO_FORCE, *([FROM_PICTURE] if submission.body is not None else [])]
        self.setText("  ·  ".join(parts))
        self.setVisible(bool(parts))
