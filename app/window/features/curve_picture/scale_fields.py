"""The fields of one axis: its unit, and the values of its two ticks with a button to place each."""

from __future__ import annotations

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QComboBox, QGridLayout, QGroupBox, QToolButton, QWidget

from app.window.widgets.number_box import NumberBox


class ScaleFields(QGroupBox):
    """One axis of the plot in the picture."""

    unit_changed = Signal(str)
    value_changed = Signal(str, float)  # name of a tick
    place_wanted = Signal(str)

    def __init__(
        self,
        title: str,
        ticks: tuple[str, str],
        units: tuple[tuple[str, str], ...],
        values: tuple[float, float],
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(title, parent)
        self._ticks = ticks
        self.unit = QComboBox()
        self.unit.setAccessibleName(f"{title}: unit")
        for unit, words in units:
            self.unit.addItem(words, unit)
        self.unit.activated.connect(lambda _row: self.unit_changed.emit(self.unit.currentData()))
        grid = QGridLayout(self)
        grid.setContentsMargins(8, 4, 8, 6)
        grid.setVerticalSpacing(3)
        grid.addWidget(self.unit, 0, 0, 1, 2)
        self.values: dict[str, NumberBox] = {}
        self.buttons: dict[str, QToolButton] = {}
        for row, (tick, word, value) in enumerate(
            zip(ticks, ("First tick", "Second tick"), values, strict=True), start=1
        ):
            button = QToolButton()
            button.setCheckable(True)
            button.setText(word)
            button.setToolTip("Click the tick in the picture then; it can be dragged afterwards.")
            button.clicked.connect(lambda _on=False, tick=tick: self.place_wanted.emit(tick))
            box = NumberBox(f"{title}: value of the {word.lower()}", "", -1e6, 1e6, 4)
            box.show_value(value)
            box.valueChanged.connect(
                lambda value, tick=tick: self.value_changed.emit(tick, float(value))
            )
            grid.addWidget(button, row, 0)
            grid.addWidget(box, row, 1)
            self.buttons[tick], self.values[tick] = button, box
        grid.setColumnStretch(1, 1)

    def show_needed(self, needed: tuple[str, ...], placed: tuple[str, ...], armed: str) -> None:
        """Show the ticks that are asked for, and whether they are placed."""
        alone = sum(tick in needed for tick in self._ticks) == 1
        for tick, word in zip(self._ticks, ("First tick", "Second tick"), strict=True):
            button = self.buttons[tick]
            button.setVisible(tick in needed)
            self.values[tick].setVisible(tick in needed and not alone)
            text = "Zero line" if alone else word
            button.setText(f"{text} ✓" if tick in placed else text)
            button.setChecked(tick == armed)
