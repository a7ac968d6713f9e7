"""What was prescribed last time and whether it changed, beside the picture."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING, Final

import numpy as np
from PySide6.QtCore import QSignalBlocker, Qt
from PySide6.QtWidgets import QCheckBox, QComboBox, QLabel, QScrollArea, QVBoxLayout, QWidget

from app.review.parts.sending import LAST_TIME, LeaveOut
from app.review.parts.state import ReviewState
from app.review.values.text import plain
from app.window.features.last_time.history import figure_of, histories
from app.window.features.last_time.two_strips import TwoStrips
from app.window.session.last_times import LastTimes
from app.window.session.review_session import ReviewSession
from app.window.tasks.jobs import Jobs
from app.window.views.figure_view import FigureView
from app.window.views.order_view import OrderView
from app.window.widgets import theme

if TYPE_CHECKING:
    from app.bundle.sources.last_time import LastTime, MeanPair
    from app.last_time.times import Times
    from app.library.past import PastReview, Progress
    from app.scene.figure import Figure

NOBODY: Final = (
    "Name the athlete (F2): what they were told before, and whether it changed, then stands here."
)
NOT_YET: Final = (
    "Looked up as soon as this review is kept in the library, a few seconds after it was saved."
)
FIRST: Final = "This is the first measured piece of {name}; the next one is held against it."
NOTHING: Final = "Nothing was prescribed last time that could be followed."
_CURVE_LINES: Final = 15
_HISTORY_LINES: Final = 9


class LastTimePanel(QScrollArea):
    """The earlier review, the sentences, curve over curve, and the months before."""

    def __init__(self, times: LastTimes, session: ReviewSession, jobs: Jobs) -> None:
        super().__init__()
        self._times, self._session = times, session
        self.strips = TwoStrips(times, session, jobs)
        self.setWidgetResizable(True)
        self.setFrameShape(QScrollArea.Shape.NoFrame)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setAccessibleName("This time against last time")
        self.against = QComboBox()
        self.against.setAccessibleName("Held against")
        self.against.setSizeAdjustPolicy(
            QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon
        )
        self.against.activated.connect(lambda row: times.pick(self.against.itemData(row)))
        self.begins = QCheckBox("The bundle begins with it")
        self.begins.setToolTip("One sentence and both mean curves, over what to work on.")
        self.begins.clicked.connect(lambda on: session.do(LeaveOut(LAST_TIME, not on)))
        self._column = QVBoxLayout()
        inner = QWidget()
        whole = QVBoxLayout(inner)
        whole.setContentsMargins(10, 6, 10, 6)
        whole.addWidget(self.against)
        whole.addLayout(self._column)
        whole.addWidget(self.strips)
        whole.addWidget(self.begins)
        whole.addStretch(1)
        self.setWidget(inner)
        times.changed.connect(self._fill)
        session.state_changed.connect(self._take_state)
        self._fill()

    @property
    def said(self) -> tuple[str, ...]:
        """The sentences that stand there."""
        items = (self._column.itemAt(i) for i in range(self._column.count()))
        parts = (item.widget() for item in items if item is not None)
        return tuple(part.text() for part in parts if isinstance(part, QLabel))

    def _take_state(self, state: ReviewState, before: ReviewState) -> None:
        with QSignalBlocker(self.begins):
            self.begins.setChecked(LAST_TIME not in state.sending.left_out)
        if self._times.found is None and bool(state.athlete) != bool(before.athlete):
            self._fill()

    def _fill(self) -> None:
        while (item := self._column.takeAt(0)) is not None:
            old = item.widget()
            if old is not None:
                old.hide()
                old.deleteLater()
        found = self._times.found
        progress = None if found is None else found.progress
        self.against.setVisible(progress is not None)
        self.begins.setVisible(
            found is not None and found.last is not None and found.last.says_something
        )
        if found is None:
            self._say(NOT_YET if self._session.state.athlete.strip() else NOBODY, quiet=True)
            return
        if progress is None:
            self._say(FIRST.format(name=plain(found.past.athlete.name)), quiet=True)
        else:
            self._offer(found, progress)
            self._tell(progress)
            if found.last is not None:
                self._show_pair(found.last)
            self._say_how(progress)
        self._show_months(found)

    def _offer(self, found: Times, progress: Progress) -> None:
        with QSignalBlocker(self.against):
            self.against.clear()
            for review in found.earlier:
                self.against.addItem(f"Against {_named(review)}", review.review_id)
            self.against.setCurrentIndex(self.against.findData(progress.before.review_id))

    def _tell(self, progress: Progress) -> None:
        from analysis.following_up.sentences import sentence

        found = progress.found
        for said in (found.conditions.why_not, *found.conditions.remarks):
            if said:
                self._say(said, quiet=True)
        told_rows = [row for row in found.rows if row.prescribed is not None]
        others = [r for r in found.rows if r.prescribed is None and r.outcome == "changed"]
        for row in (*told_rows, *others):
            self._say(sentence(row), colour=colour_of(row.outcome, row.better))
        if not told_rows:
            self._say(NOTHING, quiet=True)

    def _show_pair(self, last: LastTime) -> None:
        """Mean curve over mean curve, and the order of movement of each."""
        if last.means is not None:
            self._draw(pair_of(last.means), _CURVE_LINES, "Mean curve over mean curve")
        for when, order in zip(("Last time", "This time"), last.orders or (), strict=False):
            self._say(when, bold=True)
            view = OrderView()
            view.set_order(order)
            self._column.addWidget(view)

    def _say_how(self, progress: Progress) -> None:
        """What was told, word for word, and how it was judged."""
        from analysis.following_up.sentences import method_words

        for told in progress.prescribed:
            parts = (told.title, told.cue, told.drill, told.dose, told.until, told.film)
            said = " – ".join(plain(part, 160) for part in parts if part)
            self._say(f"Told: {said}", quiet=True)
        if progress.found.conditions.pair is not None:
            self._say(method_words(progress.found), quiet=True)

    def _show_months(self, found: Times) -> None:
        shown = histories(found.past)
        if shown:
            self._say("Over the months; a number marks each time it was prescribed", bold=True)
        for one in shown:
            self._draw(figure_of(one), _HISTORY_LINES, f"{one.title} over the months")

    def _draw(self, figure: Figure, lines: int, name: str) -> None:
        view = FigureView()
        view.setAccessibleName(name)
        view.setFixedHeight(lines * self.fontMetrics().lineSpacing())
        view.set_figure(figure)
        self._column.addWidget(view)

    def _say(self, words: str, quiet: bool = False, colour: str = "", bold: bool = False) -> None:
        label = QLabel(words)
        label.setTextFormat(Qt.TextFormat.PlainText)
        label.setWordWrap(True)
        label.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        label.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        if quiet:
            label.setProperty("role", "quiet")
        if bold or colour:
            font = label.font()
            font.setBold(True)
            label.setFont(font)
        if colour:
            label.setStyleSheet(f"color: {colour}")
        self._column.addWidget(label)


def pair_of(means: MeanPair) -> Figure:
    """Both mean curves with their difference shaded."""
    from analysis.comparing.curves import CurvePair
    from app.scene.pair_figure import PairWords, pair_figure

    other = {} if means.is_force else {"signal": "other", "title": means.title, "unit": means.unit}
    pair = CurvePair("percent", np.arange(101.0), means.now, means.then, **other)
    words = PairWords(
        "% of the drive's time", f"{means.title}, {means.unit}", "this time", "last time",
        "difference",
    )  # fmt: skip
    return pair_figure(pair, words, (331.0, 240.0), 11.0)


def _named(review: PastReview) -> str:
    try:
        day = date.fromisoformat(review.when[:10])
        when = f"{day.day} {day:%b %Y}"
    except ValueError:
        when = ""
    return "  ·  ".join(part for part in (when, plain(review.title)) if part) or "last time"


def colour_of(outcome: str, better: bool | None) -> str:
    """Green is for what was asked for; what nobody asked for may have changed for the worse."""
    if outcome == "changed" and better is not None:
        return theme.TARGET_BRIGHT if better else theme.WARNING
    return theme.PLAYHEAD if outcome == "not yet" else theme.TEXT
