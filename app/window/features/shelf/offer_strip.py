"""One line under the tabs: what was explained before, and a click that puts it here."""

from __future__ import annotations

from PySide6.QtCore import QSignalBlocker, Qt
from PySide6.QtWidgets import QComboBox, QFrame, QHBoxLayout, QSizePolicy, QToolButton, QWidget

from app.review.values.text import plain
from app.shelf.explanation import Explanation
from app.window.features.shelf.kept_explanations import KeptExplanations
from app.window.widgets.elided_label import ElidedLabel

KEPT = "Kept explanation"


class OfferStrip(QFrame):
    """Shown while something is offered, else not there."""

    def __init__(self, kept: KeptExplanations, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._kept = kept
        self.said = ElidedLabel("")
        self.said.setAccessibleName("Explained before")
        self.which = QComboBox()
        self.which.setAccessibleName("Which kept explanation")
        self.which.setToolTip("Several were kept for this finding, the newest first")
        self.which.setSizeAdjustPolicy(
            QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon
        )
        self.which.setMinimumContentsLength(6)
        self.which.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.use = QToolButton()
        self.use.setText("Use")
        self.use.setToolTip("Put it onto this athlete's frame as a note you can edit (U)")
        self.use.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.use.clicked.connect(kept.use)
        row = QHBoxLayout(self)
        row.setContentsMargins(8, 2, 8, 4)
        row.addWidget(self.said, 1)
        row.addWidget(self.which, 1)
        row.addWidget(self.use)
        self.which.activated.connect(kept.offer_other)
        kept.changed.connect(self._show)
        self._show()

    def _show(self) -> None:
        finding, offered = self._kept.finding, self._kept.offered
        self.setVisible(bool(offered) and finding is not None)
        if finding is None or not offered:
            return
        place = min(self._kept.shown, len(offered) - 1)
        kept = offered[place]
        several = len(offered) > 1
        self.which.setVisible(several)
        with QSignalBlocker(self.which):
            self.which.clear()
            self.which.addItems([_line(one) for one in offered])
            self.which.setCurrentIndex(place)
        name = plain(finding.title)
        self.said.setText(f"{KEPT}: {name}" if several else f"{KEPT}: {name} ({kept.holds})")
        self.said.setToolTip(f"{plain(finding.title)}\n{_line(kept)}\n{kept.words}".strip())


def _line(kept: Explanation) -> str:
    day = f", kept {kept.kept_on}" if kept.kept_on else ""
    return f"{plain(kept.title)}: {kept.holds}{day}"
