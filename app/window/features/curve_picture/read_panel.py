"""The row under the curve for the curves read from pictures; not there without any."""

from __future__ import annotations

from PySide6.QtCore import QSignalBlocker
from PySide6.QtWidgets import QComboBox, QSizePolicy, QToolButton, QVBoxLayout, QWidget

from app.window.features.curve_picture.shown_curves import LABEL, ShownCurves
from app.window.widgets.elided_label import ElidedLabel
from app.window.widgets.overflow_tool_bar import OverflowToolBar


class ReadPanel(QWidget):
    """Which curve, what to do with it, and how it differs from the athlete's."""

    def __init__(self, shown: ShownCurves, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._shown = shown
        self.choice = QComboBox()
        self.choice.setAccessibleName("Curve read from a picture")
        self.choice.setMinimumContentsLength(8)
        self.choice.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Fixed)
        self.choice.setMinimumWidth(90)
        self.choice.activated.connect(lambda _row: shown.choose(self.choice.currentData()))
        self.hide_button = _button("Hide", "Show this curve beside the athlete's, or hide it.")
        self.hide_button.clicked.connect(shown.toggle)
        self.target = _button("As target", "Row towards this curve, read from a picture.")
        self.target.clicked.connect(shown.use_as_target)
        self.gone = _button("Remove", "Take this curve out of the review; undo brings it back.")
        self.gone.clicked.connect(shown.remove)
        row = OverflowToolBar()
        row.row.setContentsMargins(0, 0, 0, 0)
        row.put(self.choice, stretch=1)
        for gives, button in ((1, self.target), (2, self.hide_button), (3, self.gone)):
            row.put(button, gives, button.text())
        self.words = ElidedLabel()
        self.words.setProperty("role", "quiet")
        column = QVBoxLayout(self)
        column.setContentsMargins(8, 2, 8, 2)
        column.setSpacing(1)
        column.addWidget(row)
        column.addWidget(self.words)
        shown.changed.connect(self._show)
        self._show()

    def _show(self) -> None:
        curves, chosen = self._shown.curves, self._shown.chosen
        self.setVisible(bool(curves))
        if chosen is None:
            return
        with QSignalBlocker(self.choice):
            self.choice.clear()
            for curve in curves:
                self.choice.addItem(curve.name, curve.id)
            self.choice.setCurrentIndex(self.choice.findData(chosen.id))
        self.choice.setToolTip(f"{LABEL}: {chosen.source}")
        self.hide_button.setText("Hide" if chosen.shown else "Show")
        difference = self._shown.difference()
        self.words.setText(": ".join(filter(None, (LABEL.capitalize(), difference))))


def _button(text: str, tip: str) -> QToolButton:
    button = QToolButton()
    button.setText(text)
    button.setToolTip(tip)
    button.setAccessibleName(tip)
    return button
