"""How the open review stands: one quiet word at the end of the bottom line."""

from __future__ import annotations

from html import escape

from PySide6.QtWidgets import QWidget

from app.window.session.safekeeping import NOT_SAVED, SAVED, UNDER_WAY, Safekeeping
from app.window.widgets import theme
from app.window.widgets.elided_label import ElidedLabel

WIDEST_PX = 260
_TIPS = {
    SAVED: "Every change is in the review's file.",
    UNDER_WAY: "The last change is on its way into the review's file.",
}


class SavedSign(ElidedLabel):
    """Saved, being saved, or not saved and why."""

    def __init__(self, safe: Safekeeping, parent: QWidget | None = None) -> None:
        super().__init__("", parent)
        self._safe = safe
        self.setMaximumWidth(WIDEST_PX)
        self.setProperty("role", "quiet")
        self.setAccessibleName("Whether the review is saved")
        safe.changed.connect(self._show)
        theme.follow(self._show)

    def _show(self) -> None:
        words = self._safe.words
        self.setVisible(bool(words))
        amiss = words.startswith(NOT_SAVED)
        self.setStyleSheet(f"color: {theme.PLAYHEAD};" if amiss else "")
        if words != self.text():
            self.setText(words)
            self.setToolTip(f"<p>{escape(words)}</p>" if amiss else _TIPS.get(words, ""))
