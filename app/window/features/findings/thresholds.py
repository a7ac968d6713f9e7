"""The thresholds of the findings, each with what it decides and where it comes from."""

from __future__ import annotations

from dataclasses import replace

from PySide6.QtCore import Qt
from PySide6.QtWidgets import (
    QDialog,
    QGridLayout,
    QLabel,
    QScrollArea,
    QToolButton,
    QVBoxLayout,
    QWidget,
)

from analysis.findings.thresholds import TABLE, Threshold, Thresholds
from app.review.parts.findings import SetThreshold, SetThresholds
from app.review.parts.state import ReviewState
from app.submission.findings import thresholds_of
from app.window.session.review_session import ReviewSession
from app.window.widgets.for_all_row import ForAllRow
from app.window.widgets.number_box import NumberBox
from app.window.widgets.scroll_frame import fit_dialog

SIZE = (860, 560)
OWN, MINE = "● ", "◆ "
WORDS = (
    f"What is changed here counts in this review alone ({OWN.strip()}) until you use it in all "
    f"({MINE.strip()}); the findings follow at once."
)
USED = "These numbers are your defaults now: all reviews go by them that have none of their own."
FORGOTTEN = "All reviews go by the shipped numbers again, but where they have their own."
RATED = "severity 1"  # what the table says of a number that only rates


class ThresholdsDialog(QDialog):
    """A table of numbers; a changed one is a change of the review and can be undone."""

    def __init__(self, session: ReviewSession, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWindowTitle("Thresholds of the findings")
        self.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        fit_dialog(self, *SIZE)
        self._session = session
        self._boxes: dict[str, NumberBox] = {}
        self._resets: dict[str, QToolButton] = {}
        rows = QWidget()
        grid = QGridLayout(rows)
        grid.setHorizontalSpacing(12)
        grid.setColumnStretch(0, 3)
        grid.setColumnStretch(3, 2)
        for name, of in _by_finding():
            heading = QLabel(name)
            heading.setProperty("role", "heading")
            heading.setContentsMargins(0, 8, 0, 0)
            grid.addWidget(heading, grid.rowCount(), 0, 1, 4)
            for threshold in of:
                self._add(grid, grid.rowCount(), threshold)
        area = QScrollArea()
        area.setWidget(rows)
        area.setWidgetResizable(True)
        column = QVBoxLayout(self)
        words = QLabel(WORDS)
        words.setProperty("role", "quiet")
        words.setWordWrap(True)
        column.addWidget(words)
        column.addWidget(area)
        self.for_all = ForAllRow("the numbers")
        column.addWidget(self.for_all)
        self.for_all.use.clicked.connect(self._use_in_all)
        self.for_all.back.clicked.connect(lambda: session.do(SetThresholds()))
        self.for_all.forget.clicked.connect(self._forget)
        session.state_changed.connect(self._take_state)
        session.own.changed.connect(self._show_anew)
        self._show(session.state)

    def _show_anew(self) -> None:
        # A method, not a lambda: it is let go with the dialog.
        self._show(self._session.state)

    def _add(self, grid: QGridLayout, line: int, threshold: Threshold) -> None:
        does, source = QLabel(_says(threshold)), QLabel(threshold.source)
        source.setProperty("role", "quiet")
        for label in (does, source):
            label.setWordWrap(True)
            label.setToolTip(threshold.name)  # as the file of a coach's own wording calls it
        low, high = threshold.low, threshold.high
        box = NumberBox(_says(threshold), f" {threshold.unit}", low, high, _decimals(threshold))
        box.setSingleStep(max((high - low) / 100.0, 0.01))
        box.valueChanged.connect(lambda value, name=threshold.name: self._set(name, value))
        reset = QToolButton()
        reset.setText("Reset")
        reset.clicked.connect(lambda _on=False, name=threshold.name: self._set(name, None))
        reset.setAccessibleName(f"Reset: {_says(threshold)}")
        for column, widget in enumerate((does, box, reset, source)):
            grid.addWidget(widget, line, column)
        self._boxes[threshold.name] = box
        self._resets[threshold.name] = reset

    def _set(self, name: str, value: float | None) -> None:
        usual = self._mine()[name]
        self._session.do(SetThreshold(name, None if value == usual else value))

    def _mine(self) -> Thresholds:
        """What holds in all reviews: shipped, and over it what the coach settled."""
        return thresholds_of(self._session.submission.mine.thresholds)[0]

    def _use_in_all(self) -> None:
        state = self._session.state
        mine = self._session.submission.mine.thresholds
        limits = thresholds_of(state.thresholds, mine)[0]
        if self._session.own.change(lambda m: replace(m, thresholds=limits.changed), USED):
            self._session.do(SetThresholds())

    def _forget(self) -> None:
        self._session.own.change(lambda m: replace(m, thresholds=()), FORGOTTEN)

    def _take_state(self, state: ReviewState, before: ReviewState) -> None:
        if state.thresholds != before.thresholds:
            self._show(state)

    def _show(self, state: ReviewState) -> None:
        changed, mine = dict(state.thresholds), self._mine()
        settled = mine.as_dict()
        for threshold in TABLE:
            name, usual = threshold.name, mine[threshold.name]
            box, reset = self._boxes[name], self._resets[name]
            box.show_value(changed.get(name, usual))
            box.setPrefix(OWN if name in changed else MINE if name in settled else "")
            reset.setEnabled(name in changed)
            whose = "your default" if name in settled else "as shipped"
            reset.setToolTip(f"Back to {usual:g} {threshold.unit}, {whose}")
        self.for_all.show_state(
            bool(changed),
            bool(settled),
            thresholds_of(state.thresholds, mine.changed)[0] != mine,
            f"Numbers of this review alone: {len(changed)}. Your defaults in all reviews:"
            f" {len(settled)}.",
        )


def _decimals(threshold: Threshold) -> int:
    """None for what is counted; zeros at the end are not shown anyway."""
    return 0 if threshold.unit in ("strokes", "findings") else 3


def _by_finding() -> list[tuple[str, list[Threshold]]]:
    """The table by finding, each under the name the coach reads in the list."""
    from analysis.findings.catalogue import read_catalogue

    entries = read_catalogue().entries
    groups: dict[str, list[Threshold]] = {}
    for threshold in TABLE:
        code = threshold.name.split(".")[0]
        name = entries[code].title if code in entries else "For all findings"
        groups.setdefault(name, []).append(threshold)
    return list(groups.items())


def _says(threshold: Threshold) -> str:
    """What a number decides, as a sentence to read beside it."""
    words = "from here it is rated as most severe" if threshold.does == RATED else threshold.does
    return words[:1].upper() + words[1:]
