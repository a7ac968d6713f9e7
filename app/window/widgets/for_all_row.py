"""The row under what is settled in one review: use it in all, or go back to what holds in all."""

from __future__ import annotations

from PySide6.QtWidgets import QHBoxLayout, QLabel, QPushButton, QVBoxLayout, QWidget

USE = "Use in all my reviews"
BACK = "Back to my defaults"
SHIPPED = "Forget my defaults"


class ForAllRow(QWidget):
    """Three buttons of the same words wherever something can hold for all reviews.

    Attributes
    ----------
    use : makes what this review has the coach's default
    back : lets this review go by the coach's defaults, or by what is shipped where there are none
    forget : gives up the default: all reviews go by what is shipped, but where they have their own
    said : how this review stands to them
    """

    def __init__(self, what: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._to_shipped = f"Back to {what} as shipped"
        self.use, self.back, self.forget = (QPushButton(t) for t in (USE, BACK, SHIPPED))
        self.use.setToolTip(
            f"Let {what} of this review hold in all reviews that have none of their own"
        )
        self.back.setToolTip(f"Give up {what} of this review and go by those of all your reviews")
        self.forget.setToolTip(f"Go by {what} as shipped in all reviews but those with their own")
        self.said = QLabel("")
        self.said.setProperty("role", "quiet")
        self.said.setWordWrap(True)
        row = QHBoxLayout()
        row.setSpacing(8)
        for button in (self.use, self.back, self.forget):
            button.setAutoDefault(False)
            row.addWidget(button)
        row.addStretch(1)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(self.said)
        column.addLayout(row)

    def show_state(self, has_own: bool, has_mine: bool, differs: bool, said: str) -> None:
        """Offer what can be done now.

        Parameters
        ----------
        has_own : the review has something of its own
        has_mine : the coach has settled something for all reviews
        differs : what the review goes by is not what holds in all
        """
        self.use.setEnabled(differs)
        self.back.setText(BACK if has_mine else self._to_shipped)
        self.back.setEnabled(has_own)
        self.forget.setEnabled(has_mine)
        self.said.setText(said)
