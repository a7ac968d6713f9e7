"""The thresholds of the findings, each with what it decides and where it comes from."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtWidgets import (
    QDialog,
    QDoubleSpinBox,
    QGridLayout,
    QLabel,
    QScrollArea,
    QToolButton,
    QVBoxLayout,
    QWidget,
)

from analysis.findings.thresholds import TABLE, Threshold
from app.review.parts.findings import SetThreshold
from app.review.parts.state import ReviewState
from app.window.session.review_session import ReviewSession
from app.window.widgets.scroll_frame import fit_dialog

SIZE = (860, 560)
RATED = "severity 1"  # what the table says of a number that only rates


class ThresholdsDialog(QDialog):
    """A table of numbers; a changed one is a change of the review and can be undone."""

    def __init__(self, session: ReviewSession, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWindowTitle("Thresholds of the findings")
        self.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        fit_dialog(self, *SIZE)
        self._session = session
        self._boxes: dict[str, QDoubleSpinBox] = {}
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
        words = QLabel(
            "What is changed here is kept in this review; the findings follow at once. "
            "A changed number carries a mark."
        )
        words.setProperty("role", "quiet")
        words.setWordWrap(True)
        column.addWidget(words)
        column.addWidget(area)
        session.state_changed.connect(self._take_state)
        self._show(session.state)

    def _add(self, grid: QGridLayout, line: int, threshold: Threshold) -> None:
        does, source = QLabel(_says(threshold)), QLabel(threshold.source)
        source.setProperty("role", "quiet")
        for label in (does, source):
            label.setWordWrap(True)
            label.setToolTip(threshold.name)  # as the file of a coach's own wording calls it
        box = QDoubleSpinBox()
        box.setDecimals(_decimals(threshold))
        box.setRange(threshold.low, threshold.high)
        box.setSingleStep(max((threshold.high - threshold.low) / 100.0, 0.01))
        box.setAccessibleName(_says(threshold))
        box.setKeyboardTracking(False)
        box.setSuffix(f" {threshold.unit}")
        box.valueChanged.connect(lambda value, name=threshold.name: self._set(name, value))
        reset = QToolButton()
        reset.setText("Reset")
        reset.setToolTip(f"Back to {threshold.value:g} {threshold.unit}")
        reset.clicked.connect(lambda _on=False, name=threshold.name: self._set(name, None))
        reset.setAccessibleName(f"Reset: {_says(threshold)}")
        for column, widget in enumerate((does, box, reset, source)):
            grid.addWidget(widget, line, column)
        self._boxes[threshold.name] = box
        self._resets[threshold.name] = reset

    def _set(self, name: str, value: float | None) -> None:
        own = next(t.value for t in TABLE if t.name == name)
        self._session.do(SetThreshold(name, None if value == own else value))

    def _take_state(self, state: ReviewState, before: ReviewState) -> None:
        if state.thresholds != before.thresholds:
            self._show(state)

    def _show(self, state: ReviewState) -> None:
        changed = dict(state.thresholds)
        for threshold in TABLE:
            box = self._boxes[threshold.name]
            value = changed.get(threshold.name, threshold.value)
            was_blocked = box.blockSignals(True)
            box.setValue(value)
            box.blockSignals(was_blocked)
            box.setPrefix("● " if threshold.name in changed else "")
            self._resets[threshold.name].setEnabled(threshold.name in changed)


def _decimals(threshold: Threshold) -> int:
    """As fine as the number needs: none for what is counted, two for shares."""
    if threshold.unit in ("strokes", "findings"):
        return 0
    return 1 if threshold.high > 2.0 else 2


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
