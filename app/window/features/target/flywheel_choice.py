"""The coach's flywheels under their names: chosen for a review, kept for others."""

from __future__ import annotations

from dataclasses import replace

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QComboBox, QHBoxLayout, QInputDialog, QPushButton, QWidget

from analysis.force.coast_down import FlywheelModel
from app.submission.my_defaults import MOST_FLYWHEELS, MyDefaults, flywheel_name
from app.window.session.own_defaults import OwnDefaults

CHOOSE = "Your flywheels …"
NONE_YET = "No flywheel kept yet"


class FlywheelChoice(QWidget):
    """A list of names, and buttons to keep the one in use and to remove one.

    Attributes
    ----------
    chosen : a flywheel of the list is to be used
    """

    chosen = Signal(object)  # FlywheelModel

    def __init__(self, own: OwnDefaults, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._own = own
        self._now = FlywheelModel()
        self._kept: tuple[tuple[str, FlywheelModel], ...] = ()
        self.choice = QComboBox()
        self.choice.setAccessibleName("Your flywheels")
        self.keep = QPushButton("Keep as …")
        self.keep.setToolTip("Keep this flywheel under a name, to choose it in other reviews")
        self.remove = QPushButton("Remove")
        self.remove.setToolTip("Remove the chosen name from your flywheels; no review changes")
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.addWidget(self.choice, 1)
        for button in (self.keep, self.remove):
            button.setAutoDefault(False)
            row.addWidget(button)
        self.choice.activated.connect(self._choose)
        self.keep.clicked.connect(self._ask_name)
        self.remove.clicked.connect(self._remove)

    def show_state(self, mine: MyDefaults, now: FlywheelModel) -> None:
        """Follow what is kept, and which of it is in use."""
        self._now, self._kept = now, mine.flywheels
        self.choice.clear()
        self.choice.addItem(CHOOSE if self._kept else NONE_YET)
        self.choice.addItems([name for name, _model in self._kept])
        models = [model for _name, model in self._kept]
        self.choice.setCurrentIndex(models.index(now) + 1 if now in models else 0)
        self.choice.setEnabled(bool(self._kept))
        self.remove.setEnabled(self.choice.currentIndex() > 0)

    def keep_as(self, name: str) -> None:
        """Keep the flywheel in use under a name; one of that name is replaced."""
        name, now = flywheel_name(name), self._now
        if not name:
            return

        def kept(mine: MyDefaults) -> MyDefaults:
            rest = tuple(f for f in mine.flywheels if f[0] != name)
            return replace(mine, flywheels=(*rest, (name, now))[-MOST_FLYWHEELS:])

        self._own.change(kept, f"“{name}” is kept among your flywheels.")

    def _choose(self, row: int) -> None:
        if row > 0:
            self.chosen.emit(self._kept[row - 1][1])

    def _ask_name(self) -> None:
        shown = self.choice.currentText() if self.choice.currentIndex() > 0 else ""
        name, said = QInputDialog.getText(
            self, "Keep the flywheel", "Name, such as the machine and its setting:", text=shown
        )
        if said:
            self.keep_as(name)

    def _remove(self) -> None:
        name = self.choice.currentText()

        def without(mine: MyDefaults) -> MyDefaults:
            return replace(mine, flywheels=tuple(f for f in mine.flywheels if f[0] != name))

        self._own.change(without, f"“{name}” is no longer among your flywheels; no review changed.")
