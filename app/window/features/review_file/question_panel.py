"""Asks once, in place, how a force file is to be read."""

from __future__ import annotations

from PySide6.QtCore import Signal
from PySide6.QtWidgets import (
    QComboBox,
    QDoubleSpinBox,
    QFrame,
    QGridLayout,
    QHBoxLayout,
    QLabel,
    QPushButton,
    QWidget,
)

from analysis.force.force_units import is_raw
from analysis.force.questions import Preview, unit_of_no_force
from analysis.force.trace import ColumnMapping
from app.window.features.review_file.column_curve import ColumnCurves, Role
from app.window.session.loading import Question

NONE = "none"
CALIBRATED = "volts or counts"
FORCE_UNITS = ("N", "kN", "daN", "kgf", "lbf", CALIBRATED)
TIME_UNITS = ("s", "ms", "us")
POSITION_UNITS = ("m", "cm", "mm")
UNITS = ("", "column", "unit", "time between samples")
NO_UNIT = "Choose the unit of the handle force."
BY_LOADS = (
    "By two known loads: the difference of the loads in N, divided by the difference of what the "
    "file reads under them."
)
NO_FACTOR = "Say how many newtons 1 in the file stands for."
NO_TIME = "Choose the column of the time, or type how long there is between two samples."
ONE_FOR_EACH = "Force, time and position are columns of their own: choose another for one of them."


class QuestionPanel(QFrame):
    """Columns and units as choices, with the columns as small curves beside them to click on."""

    answered = Signal(object, object)  # Question, ColumnMapping
    put_off = Signal()
    asking = Signal(bool)  # something is asked, or no more

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAccessibleName("How to read the force file")
        self._question: Question | None = None
        self._words = QLabel("")
        self._words.setProperty("role", "heading")
        self._words.setWordWrap(True)
        self.curves = ColumnCurves()
        self.force = QComboBox()
        self.force_unit = _box("", *FORCE_UNITS)
        self.factor = _number(-1e6, 1e6, 4, " N for each 1 in the file")
        self.factor.setToolTip(BY_LOADS)
        self.time = QComboBox()
        self.time_unit = _box(*TIME_UNITS)
        self.interval = _number(0.0, 1000.0, 3, " ms between samples")
        self.position = QComboBox()
        self.position_unit = _box(*POSITION_UNITS)
        self.read = QPushButton("Read it")
        self.read.setProperty("role", "first")
        self.read.setToolTip("Read the force file like this, and all that are laid out alike.")
        self.later = QPushButton("Not now")
        self.later.setToolTip("Leave the force file out; drop it again when you know.")
        self._lacks = QLabel("")
        self._lacks.setProperty("role", "quiet")
        grid = QGridLayout(self)
        grid.setContentsMargins(12, 8, 12, 8)
        grid.addWidget(self._words, 0, 0, 1, 5)
        for row, (name, widgets) in enumerate(
            (
                ("Handle force", (self.force, self.force_unit, self.factor)),
                ("Time", (self.time, self.time_unit, self.interval)),
                ("Handle position", (self.position, self.position_unit)),
            ),
            start=1,
        ):
            grid.addWidget(QLabel(name), row, 0)
            for column, widget in enumerate(widgets, start=1):
                widget.setAccessibleName(name if column == 1 else f"{name}: {UNITS[column]}")
                grid.addWidget(widget, row, column)
        self.factor.setAccessibleName("Handle force: newtons for each 1 in the file")
        grid.addWidget(self.curves, 1, 4, 3, 1)
        grid.setColumnStretch(4, 1)
        buttons = QHBoxLayout()
        buttons.addWidget(self.read)
        buttons.addWidget(self.later)
        buttons.addSpacing(8)
        buttons.addWidget(self._lacks)
        buttons.addStretch(1)
        grid.addLayout(buttons, 4, 0, 1, 5)
        self.read.clicked.connect(self._answer)
        self.later.clicked.connect(self._put_off)
        self.curves.taken.connect(self._take)
        for box in (self.force, self.time, self.position):
            box.currentIndexChanged.connect(self._renew)
        self.force_unit.currentIndexChanged.connect(self._renew)
        self.factor.valueChanged.connect(self._renew)
        self.interval.valueChanged.connect(self._renew)
        self.hide()

    def ask(self, question: Question | None) -> None:
        """Show a question, or put the panel away."""
        self._question = question
        self.setVisible(question is not None)
        self.asking.emit(question is not None)
        if question is None:
            return
        preview = question.preview
        names = [name or f"column {i + 1}" for i, name in enumerate(preview.columns)]
        for box, optional in ((self.force, False), (self.time, True), (self.position, True)):
            box.clear()
            box.addItems([NONE, *names] if optional else names)
        guess = preview.guess
        self.force.setCurrentIndex(_likely_force(preview))
        self.time.setCurrentIndex(_optional(guess.time_column))
        self.position.setCurrentIndex(_optional(guess.position_column))
        wrong = unit_of_no_force(preview)
        self.force_unit.setCurrentText(guess.force_unit or (CALIBRATED if is_raw(wrong) else ""))
        self.factor.setValue(0.0)
        self.time_unit.setCurrentText(guess.time_unit or TIME_UNITS[0])
        self.position_unit.setCurrentText(guess.position_unit or POSITION_UNITS[0])
        self.interval.setValue(1000.0 * (guess.interval_s or 0.0))
        lacks = f"gives the force in {wrong}, which is no unit of force"
        self._words.setText(
            f"{question.path.name} {lacks if wrong else 'does not say everything about itself'}. "
            "Say it once; the next file of this kind opens by itself."
        )
        self.curves.show_curves(preview.curves, names)
        self._renew()

    def _take(self, column: int, role: str) -> None:
        """Take a column for what its curve was said to be, and for nothing else."""
        for box, its_role in ((self.time, "time"), (self.position, "position")):
            if role == its_role:
                box.setCurrentIndex(column + 1)
            elif box.currentIndex() == column + 1:
                box.setCurrentIndex(0)
        if role == "force":
            self.force.setCurrentIndex(column)

    def _roles(self) -> dict[int, Role]:
        """What each chosen column is taken for."""
        roles: dict[int, Role] = {self.position.currentIndex() - 1: "position"}
        roles[self.time.currentIndex() - 1] = "time"
        roles[self.force.currentIndex()] = "force"
        return roles

    def _renew(self) -> None:
        self.curves.show_roles(self._roles())
        no_time = self.time.currentIndex() == 0
        self.interval.setVisible(no_time)  # its room is the curves' where a column has the time
        self.time_unit.setEnabled(not no_time)
        timed = not no_time or self.interval.value() > 0.0
        lacks = "" if timed else NO_TIME
        calibrated = self.force_unit.currentText() == CALIBRATED
        self.factor.setVisible(calibrated)
        if calibrated and self.factor.value() == 0.0:
            lacks = NO_FACTOR
        if self.force_unit.currentText() == "":
            lacks = NO_UNIT
        optional = [b.currentIndex() - 1 for b in (self.time, self.position) if b.currentIndex()]
        if len({self.force.currentIndex(), *optional}) <= len(optional):
            lacks = ONE_FOR_EACH
        self._lacks.setText(lacks)
        self.read.setEnabled(lacks == "")

    def _answer(self) -> None:
        question = self._question
        if question is None:
            return
        time, position = self.time.currentIndex() - 1, self.position.currentIndex() - 1
        mapping = ColumnMapping(
            force_column=self.force.currentIndex(),
            force_unit=self._unit(),
            time_column=time if time >= 0 else None,
            time_unit=self.time_unit.currentText(),
            interval_s=self.interval.value() / 1000.0 if time < 0 else None,
            position_column=position if position >= 0 else None,
            position_unit=self.position_unit.currentText(),
        )
        self.answered.emit(question, mapping)

    def _unit(self) -> str:
        unit = self.force_unit.currentText()
        return f"{self.factor.value():.9g} N/unit" if unit == CALIBRATED else unit

    def _put_off(self) -> None:
        self.ask(None)
        self.put_off.emit()


def _likely_force(preview: Preview) -> int:
    """The column to begin with: the one that was recognised, else numbers that are nothing else."""
    guess = preview.guess
    if guess.force_column is not None:
        return guess.force_column
    others = (guess.time_column, guess.position_column)
    free = [c.column for c in preview.curves if c.column not in others]
    return free[0] if free else 0


def _optional(column: int | None) -> int:
    """Where a column stands in a list that begins with "none"."""
    return 0 if column is None else column + 1


def _box(*items: str) -> QComboBox:
    box = QComboBox()
    box.addItems(items)
    return box


def _number(least: float, most: float, decimals: int, after: str) -> QDoubleSpinBox:
    box = QDoubleSpinBox()
    box.setRange(least, most)
    box.setDecimals(decimals)
    box.setSuffix(after)
    return box
