"""The signals of two strokes that are compared, over each other by phase, a row a signal."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from PySide6.QtCore import QSize, Qt
from PySide6.QtWidgets import QFrame, QLabel, QScrollArea, QVBoxLayout, QWidget

from analysis.force.trace import FloatArray
from app.review.parts.state import ReviewState
from app.scene.figure import Figure, Tick
from app.scene.force_curve import over_drive
from app.submission.shown_signals import ShownSignal, shown
from app.window.features.comparing.pair_curves import PairCurves
from app.window.session.review_session import ReviewSession
from app.window.views.figure_view import LETTER, FigureView

if TYPE_CHECKING:
    from app.submission.rowed_stroke import RowedStroke

PLOT_PX, ROWS_IN_SIGHT, LEAST_PX = 84, 2, 40
ROOM = 0.1  # over and under the lines, as a share of their reach


@dataclass(frozen=True)
class PairRow:
    """One signal of both strokes.

    Attributes
    ----------
    left, right : (101,) by phase: 0 the catch, 50 the finish, 100 the next catch; NaN where it is
        not known, None where the recording has no such signal
    """

    shown: ShownSignal
    left: FloatArray | None
    right: FloatArray | None

    @property
    def words(self) -> str:
        """Title and unit, and whose is missing."""
        missing = [
            side for side, of in (("left", self.left), ("right", self.right)) if not _known(of)
        ]
        return self.shown.words + "".join(f" (none of the {side} stroke)" for side in missing)


class PairSignals(QScrollArea):
    """Rows under the curves of both strokes; two are in sight, the others by scrolling."""

    def __init__(self, curves: PairCurves, session: ReviewSession) -> None:
        super().__init__()
        self._curves, self._session = curves, session
        self.rows: tuple[PairRow, ...] = ()
        self.setWidgetResizable(True)
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setAccessibleName("Signals of the two strokes")
        self.hide()
        curves.changed.connect(self.renew)
        session.recordings_changed.connect(self.renew)
        session.body_changed.connect(self.renew)
        session.state_changed.connect(self._take_state)

    def sizeHint(self) -> QSize:
        """Two rows; a low screen gives less, and the rest is scrolled to."""
        return QSize(200, self._high(min(len(self.rows), ROWS_IN_SIGHT)))

    def minimumSizeHint(self) -> QSize:
        """Never in the way of a low screen."""
        return QSize(0, LEAST_PX)

    def renew(self) -> None:
        """Other strokes, or other signals are ticked."""
        rowed = self._curves.rowed
        self.rows = () if rowed is None else tuple(_row(s, *rowed) for s in self._shown())
        # Of two strokes from the picture nobody knows when the force comes.
        seen = rowed is not None and all(one.trace is None for one in rowed)
        inside = QWidget()
        column = QVBoxLayout(inside)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(1)
        for row in self.rows:
            words = QLabel(row.words)
            words.setTextFormat(Qt.TextFormat.PlainText)
            words.setProperty("role", "quiet")
            column.addWidget(words)
            column.addWidget(_plot(row, seen))
        self.setWidget(inside)
        self.setMaximumHeight(self._high(min(len(self.rows), ROWS_IN_SIGHT)))
        self.updateGeometry()
        self.setVisible(bool(self.rows))

    def _shown(self) -> tuple[ShownSignal, ...]:
        return shown(self._session.submission)

    def _take_state(self, state: ReviewState, before: ReviewState) -> None:
        if state.shown_signals != before.shown_signals:
            self.renew()

    def _high(self, rows: int) -> int:
        return rows * (PLOT_PX + self.fontMetrics().height() + 6)


def _row(shown: ShownSignal, left: RowedStroke, right: RowedStroke) -> PairRow:
    return PairRow(shown, _by_phase(shown, left), _by_phase(shown, right))


def _by_phase(shown: ShownSignal, rowed: RowedStroke) -> FloatArray | None:
    """The signal of that name and unit over a stroke; of a last one, over its drive alone."""
    piece, stroke = rowed.piece, rowed.stroke
    signal = rowed.signals.get(shown.name)
    if signal is None or signal.unit != shown.unit:
        return None
    whole = piece.curve(signal, stroke, "phase", "stroke")
    if whole is not None:
        return whole
    drive = piece.curve(signal, stroke)
    if drive is None:
        return None
    return np.concatenate((drive[::2], np.full(50, np.nan)))


def _known(values: FloatArray | None) -> bool:
    return values is not None and bool(np.isfinite(values).any())


def _plot(row: PairRow, seen: bool) -> FigureView:
    plot = FigureView()
    plot.setFixedHeight(PLOT_PX)
    plot.setAccessibleName(row.words)
    plot.setAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents)
    known = {
        side: values
        for side, values in (("right", row.right), ("left", row.left))
        if values is not None and _known(values)
    }
    if known:
        low = min(float(np.nanmin(values)) for values in known.values())
        high = max(float(np.nanmax(values)) for values in known.values())
        high = high if high > low else low + 1.0
        room = ROOM * (high - low)
        catch, finish = ("hands turn", "finish turn") if seen else ("catch", "finish")
        ticks = (Tick(0.0, catch), Tick(50.0, finish), Tick(100.0, catch))
        curves = [over_drive(side, values) for side, values in known.items()]
        reach = (low - room, high + room)
        plot.set_figure(
            Figure((0.0, 0.0), LETTER, curves, (0.0, 100.0), reach, ticks, most_levels=3)
        )
    return plot
