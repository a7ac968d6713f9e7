"""Beside Findings and Notes: the comparisons kept, and the measures of the one on screen."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from PySide6.QtCore import QSignalBlocker, Qt
from PySide6.QtGui import QAction
from PySide6.QtWidgets import (
    QCheckBox,
    QHBoxLayout,
    QLabel,
    QLineEdit,
    QToolButton,
    QVBoxLayout,
    QWidget,
)

from app.review.parts.comparisons import Comparison
from app.window.features.comparing.adjusting import Adjusting
from app.window.features.comparing.comparing import Comparing
from app.window.features.comparing.comparison_bar import menu_button
from app.window.features.comparing.measure_table import MeasureTable, basis_words
from app.window.features.comparing.title_choice import TitleChoice
from app.window.session.other_recordings import Same
from app.window.session.review_session import ReviewSession
from app.window.tasks.jobs import Cancelled, Job, Jobs, Progress

if TYPE_CHECKING:
    from analysis.comparing.variation import MeasureRow

EMPTY = (
    "Nothing is compared yet. Go to a stroke and press Shift+C (or New …) to put another one beside"
    " it: the typical one, the odd one, last month's, or a reference stroke."
)
MARKS_TIP = "Show what was drawn in the other review on its stroke, here and in the bundle."
NO_FORCE = "Measures need the force of both strokes, or the body followed in their footage."
MORE = (
    "references",
    "keep_reference",
    "self_test",
    "comparison_title",
    "comparison_labels",
    "lay_apart",
    "comparison_delete",
)


class ComparisonTab(QWidget):
    """Choose a comparison, say what to see in it, read its measures."""

    def __init__(
        self,
        comparing: Comparing,
        adjusting: Adjusting,
        session: ReviewSession,
        jobs: Jobs,
        actions: Mapping[str, QAction],
    ) -> None:
        super().__init__()
        self._comparing, self._adjusting, self._session, self._jobs = (
            comparing,
            adjusting,
            session,
            jobs,
        )
        self._job: Job | None = None
        self._made_of: object = None
        self.choice = TitleChoice()
        self.choice.picked.connect(comparing.show)
        self.choice.worded.connect(adjusting.set_title)
        self._text = QLineEdit()
        self._text.setAccessibleName("What to see in this comparison")
        self._text.setPlaceholderText("What the athlete should see in these two strokes")
        self._text.editingFinished.connect(self._say)
        self.other_marks = QCheckBox("Other marks")
        self.other_marks.setToolTip(MARKS_TIP)
        self.other_marks.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        self.other_marks.toggled.connect(adjusting.show_other_marks)
        self.table = MeasureTable()
        self.table.told.connect(self._tell)
        self._basis = ""
        self._words = QLabel(EMPTY)
        self._words.setProperty("role", "quiet")
        self._words.setWordWrap(True)
        row = QHBoxLayout()
        row.setSpacing(3)
        row.addWidget(self.choice, 1)
        row.addWidget(_button(actions["compare_new"], "New …"))
        row.addWidget(menu_button("More", "What else can be done here.", actions, MORE))
        column = QVBoxLayout(self)
        column.setContentsMargins(8, 6, 8, 4)
        column.setSpacing(4)
        column.addLayout(row)
        said = QHBoxLayout()
        said.addWidget(self._text, 1)
        said.addWidget(self.other_marks)  # a low screen has no room for another row
        column.addLayout(said)
        column.addWidget(self.table, 1)
        column.addWidget(self._words)
        comparing.changed.connect(self._show)
        session.state_changed.connect(lambda _state, _before: self._show())
        self._show()

    @property
    def words(self) -> str:
        """What stands under the table."""
        return self._words.text()

    def _show(self) -> None:
        kept, comparison = self._session.state.comparisons, self._comparing.selected
        choices = [(each.id, each.title) for each in kept]
        self.choice.show_choices(choices, comparison.id if comparison is not None else "")
        self._text.setVisible(comparison is not None)
        if comparison is not None and not self._text.hasFocus():
            self._text.setText(comparison.text)
        self._show_marks(comparison)
        self._measure()

    def _show_marks(self, comparison: Comparison | None) -> None:
        """Offer the other review's marks where it has some."""
        right = self._comparing.right
        there = comparison is not None and comparison.right.source != "" and right is not None
        has_some = right is not None and bool(right.state.marks)
        on = comparison is not None and comparison.other_marks
        with QSignalBlocker(self.other_marks):
            self.other_marks.setChecked(on)
        self.other_marks.setVisible(there and (has_some or on))

    def _say(self) -> None:
        self._adjusting.set_text(self._text.text())

    def _measure(self) -> None:
        comparison, right = self._comparing.selected, self._comparing.right
        left = self._comparing.left
        made_of = (
            comparison and (comparison.left, comparison.right),
            left.state.alignment,
            Same(left.submission.rowed),
            Same(right.submission.rowed if right is not None else None),
        )
        if made_of == self._made_of:
            return
        self._made_of = made_of
        if self._job is not None:
            self._job.cancel()
            self._job = None
        self._put(())
        if comparison is None or right is None:
            self._words.setText("" if self._session.state.comparisons else EMPTY)
            return
        sides = (left.rowed(comparison.left), right.rowed(comparison.right))
        if sides[0] is None or sides[1] is None:
            self._words.setText(NO_FORCE)
            return
        one, other = ((side.piece, side.stroke) for side in (sides[0], sides[1]))
        same = one[0] is other[0]
        seen = one[0].from_picture, other[0].from_picture

        def work(progress: Progress, cancelled: Cancelled) -> tuple[MeasureRow, ...]:
            from analysis.comparing.variation import compare_measures

            return compare_measures(one, other, same)

        self._job = self._jobs.run(
            "Comparing the measures", work, lambda rows: self._put(rows, seen), self._refuse
        )

    def _put(
        self, rows: tuple[MeasureRow, ...], from_picture: tuple[bool, bool] = (False, False)
    ) -> None:
        self._job = None
        self.table.show_rows(rows)
        self.table.setVisible(bool(rows))
        self._basis = basis_words(rows, from_picture)
        self._words.setText(self._basis)

    def _tell(self, sentence: str) -> None:
        self._words.setText(sentence or self._basis)

    def _refuse(self, error: Exception) -> None:
        self._job = None
        self._words.setText(str(error))


def _button(action: QAction, text: str) -> QToolButton:
    button = QToolButton()
    button.setText(text)
    key = action.shortcut().toString()
    tip = f"{action.text()}: {action.statusTip()}"
    button.setToolTip(f"{tip}\nKey: {key}" if key else tip)
    button.setEnabled(action.isEnabled())
    action.enabledChanged.connect(button.setEnabled)
    button.clicked.connect(action.trigger)
    return button
