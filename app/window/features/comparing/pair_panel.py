"""In the place of the one stroke's curve: both curves, their legend and their axis."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QButtonGroup, QHBoxLayout, QLabel, QToolButton, QVBoxLayout, QWidget

from analysis.comparing.curves import PairAxis
from app.review.values.stroke_labels import apart
from app.scene.force_curve import PENS
from app.scene.plot import Entry
from app.window.features.comparing.comparing import Comparing
from app.window.features.comparing.pair_curves import PairCurves
from app.window.features.comparing.pair_view import PairView
from app.window.views.scene_paint import entry_words
from app.window.widgets import theme
from app.window.widgets.elided_label import ElidedLabel

_AXES: tuple[tuple[PairAxis, str], ...] = (
    ("time", "Time"),
    ("length", "Length"),
    ("percent", "Percent"),
)


class PairPanel(QWidget):
    """Heading, axis buttons, legend, the curves, and where they are farthest apart."""

    def __init__(self, view: PairView, curves: PairCurves, comparing: Comparing) -> None:
        super().__init__()
        self._curves, self._comparing, self._view = curves, comparing, view
        heading = ElidedLabel("Two strokes")
        heading.setProperty("role", "heading")
        self._legend = QLabel("")
        self._legend.setProperty("role", "quiet")
        self._legend.setWordWrap(True)
        self._words = QLabel("")
        self._words.setWordWrap(True)
        self._words.setAlignment(Qt.AlignmentFlag.AlignTop)
        self._buttons: dict[PairAxis, QToolButton] = {}
        group = QButtonGroup(self)
        top = QHBoxLayout()
        top.addWidget(heading, 1)
        for axis, text in _AXES:
            button = QToolButton()
            button.setText(text)
            button.setCheckable(True)
            button.setToolTip("Draw both curves over this axis.")
            button.clicked.connect(lambda _on, axis=axis: curves.set_axis(axis))
            group.addButton(button)
            top.addWidget(button)
            self._buttons[axis] = button
        column = QVBoxLayout(self)
        column.setContentsMargins(8, 6, 8, 4)
        column.setSpacing(4)
        column.addLayout(top)
        column.addWidget(self._legend)
        column.addWidget(view, 1)
        column.addWidget(self._words)
        column.addStretch(0)
        self._column = column
        curves.changed.connect(self._show)
        comparing.changed.connect(self._show)
        theme.follow(self._show)

    def add_under_curves(self, widget: QWidget) -> None:
        """Put something between the curves and the words about them."""
        self._column.insertWidget(self._column.indexOf(self._words), widget)

    def _show(self) -> None:
        self._buttons[self._curves.axis].setChecked(True)
        self._words.setText(self._curves.words)
        there = self._curves.pair is not None
        self._view.setVisible(there)
        self._legend.setVisible(there)
        comparison = self._comparing.selected
        if comparison is not None:
            left, right = apart(comparison.left.label, comparison.right.label)
            self._legend.setText(
                f"{entry_words(Entry('left', f'left: {left}', PENS['left']))} &nbsp; "
                f"{entry_words(Entry('right', f'right: {right}', PENS['right']))}"
                " &nbsp; ▒&nbsp;difference"
            )
