"""Two minutes on the sample: what is where, step by step; to be left at any step."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QAction
from PySide6.QtWidgets import QFrame, QHBoxLayout, QLabel, QPushButton, QSizePolicy, QWidget


@dataclass(frozen=True)
class TourStep:
    """One step: what is said, and the action that is done to show it, "" for none."""

    words: str
    action: str = ""


STEPS = (
    TourStep(
        "This is a sample review: an athlete's film, the handle force of the same strokes below it."
    ),
    TourStep("Down and Up go from catch to catch; Left and Right go by one frame.", "next_catch"),
    TourStep("F goes through the findings: the curve shows where, the film why.", "next_finding"),
    TourStep("K keeps a finding as a note for the athlete, E lets you put it into your own words."),
    TourStep("T lays a curve to row towards over the athlete's own; its knobs can be dragged."),
    TourStep("A draws on the frame, O speaks a note that stays on this moment."),
    TourStep("V puts frames of one stroke over its curve.", "strip"),
    TourStep("V again leads back to the film. C compares two strokes side by side.", "strip"),
    TourStep("Send checks three things and writes one page that opens on any phone."),
    TourStep(
        "Ctrl+K finds an action by what you want to do, F1 shows the keys. Now your own film."
    ),
)


class Tour(QFrame):
    """A line over the trace with the step, and buttons on, back and out; hidden otherwise."""

    begun_or_left = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._actions: Mapping[str, QAction] = {}
        self._at = 0
        self._words = QLabel("")
        self._words.setWordWrap(True)
        self._words.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
        self._words.setAccessibleName("Tour")
        self.back = QPushButton("Back")
        self.on = QPushButton("Next")
        self.leave = QPushButton("Leave the tour")
        self.back.setToolTip("The step before")
        self.on.setToolTip("The next step, shown on what is open")
        self.leave.setToolTip("End the tour here; it is in the Help menu")
        row = QHBoxLayout(self)
        row.setContentsMargins(10, 4, 10, 4)
        row.addWidget(self._words, 1)
        for button, run in (
            (self.back, lambda: self._go(-1)),
            (self.on, lambda: self._go(1)),
            (self.leave, self.end),
        ):
            button.setFocusPolicy(Qt.FocusPolicy.NoFocus)  # the keys of the bench go on working
            button.clicked.connect(run)
            row.addWidget(button)
        self.hide()

    @property
    def words(self) -> str:
        """What is said now."""
        return self._words.text()

    def use(self, actions: Mapping[str, QAction]) -> None:
        """Take the actions the steps show."""
        self._actions = actions

    def begin(self) -> None:
        """Show the first step."""
        self._at = 0
        self._say()
        self.show()
        self.begun_or_left.emit()

    def end(self) -> None:
        """Leave it, at whatever step; all that was opened stays."""
        self.hide()
        self.begun_or_left.emit()

    def _go(self, by: int) -> None:
        if self._at + by >= len(STEPS):
            self.end()
            return
        self._at = max(self._at + by, 0)
        self._say()
        action = self._actions.get(STEPS[self._at].action)
        if by > 0 and action is not None and action.isEnabled():
            action.trigger()

    def _say(self) -> None:
        self._words.setText(f"{self._at + 1} of {len(STEPS)} · {STEPS[self._at].words}")
        self.back.setEnabled(self._at > 0)
        last = self._at == len(STEPS) - 1
        self.on.setText("Done" if last else "Next")
        self.leave.setVisible(not last)
