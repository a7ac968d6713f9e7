"""One line over the trace: how many strokes, and how footage and force stand to each other."""

from __future__ import annotations

from PySide6.QtWidgets import QLabel, QSizePolicy, QWidget

from app.review.state import ReviewState
from app.window.desk import Desk
from app.window.force.line_up import describe

NO_FORCE = "No force. Drop the force file here, or review the picture alone."


class Standing(QLabel):
    """Follows the desk by itself."""

    def __init__(self, desk: Desk, parent: QWidget | None = None) -> None:
        super().__init__("", parent)
        self._desk = desk
        self.setProperty("role", "quiet")
        self.setContentsMargins(10, 1, 10, 1)
        # What stands here can be long; it takes more lines and never widens the window.
        self.setWordWrap(True)
        self.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
        desk.material_changed.connect(lambda _material: self._show())
        desk.state_changed.connect(self._take_state)
        self._show()

    def _take_state(self, state: ReviewState, before: ReviewState) -> None:
        if state.pairs != before.pairs or state.alignment != before.alignment:
            self._show()

    def _show(self) -> None:
        material, state = self._desk.material, self._desk.state
        parts = []
        if material.force is not None:
            strokes = material.force.piece.strokes
            odd = sum(1 for s in strokes if s.remark)
            parts.append(f"{len(strokes)} strokes" + (f", {odd} not whole" if odd else ""))
            if material.footage is not None:
                parts.append(describe(state.alignment, state.pairs))
        elif material.footage is not None:
            parts.append(NO_FORCE)
        self.setText("  ·  ".join(parts))
        self.setVisible(bool(parts))
