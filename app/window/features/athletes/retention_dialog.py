"""The limit, and what is older."""

from __future__ import annotations

from typing import Final

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QHBoxLayout, QLabel, QSpinBox, QWidget

from app.submission.my_defaults import MOST_MONTHS
from app.window.features.athletes.deletion_dialog import DeletionDialog

ABOUT: Final = (
    "A review counts from the last thing that happened to it: rowed, sent to the athlete, or "
    "answered. Nothing is ever deleted by itself."
)
LOOKING: Final = "Looking for what is older …"
NONE_OLD: Final = "Nothing is older than that."
NO_LIMIT: Final = "No limit is set, so nothing is listed."


class RetentionDialog(DeletionDialog):
    """Rows of what is older than a limit.

    Attributes
    ----------
    limit : months; 0 for no limit
    """

    limit_changed = Signal(int)

    def __init__(self, months: int, parent: QWidget | None = None) -> None:
        super().__init__("Reviews kept too long", parent)
        self.limit = QSpinBox()
        self.limit.setRange(0, MOST_MONTHS)
        self.limit.setSpecialValueText("no limit")
        self.limit.setSuffix(" months")
        self.limit.setKeyboardTracking(False)
        self.limit.setValue(months)
        self.limit.setAccessibleName("How long reviews are kept")
        self.limit.setToolTip("Your limit for all reviews, here and for the command.")
        about = QLabel(ABOUT)
        about.setWordWrap(True)
        about.setProperty("role", "quiet")
        self.rows.setAccessibleName("Reviews older than the limit")
        top = QHBoxLayout()
        top.addWidget(QLabel("Keep reviews for"))
        top.addWidget(self.limit)
        top.addStretch(1)
        self.limit.valueChanged.connect(self.limit_changed)
        self.show_rows(())
        self.lay_out(top, about)

    def nothing(self) -> str:
        """Why nothing is listed."""
        return NONE_OLD if self.limit.value() else NO_LIMIT
