"""The signals under the force trace: thin lines, each on a scale of its own."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import pyqtgraph as pg
from PySide6.QtCore import QObject

from analysis.force.trace import FloatArray
from app.review.parts.state import ReviewState
from app.submission.shown_signals import ShownSignal
from app.window.features.signals.signal_key import KeyEntry, SignalKey, line_of
from app.window.session.review_session import ReviewSession
from app.window.views.plot_shapes import PlotShapes
from app.window.views.pyramid import Pyramid, on_film
from app.window.views.trace_view import TraceView

WIDEST_KEY_PX = 260
EDGE_PX = 8
BEHIND = -10  # the force lies over them


class SignalLine:
    """One signal thinned for the screen, its holes left open."""

    def __init__(self, shown: ShownSignal) -> None:
        self.shown = shown
        low, high = shown.reach
        self._pieces = [
            (float(time_s[0]), float(time_s[-1]), Pyramid(time_s, (values - low) / (high - low)))
            for time_s, values in shown.signal.stretches
        ]

    def view(self, from_s: float, to_s: float, columns: int) -> tuple[FloatArray, FloatArray]:
        """What to draw between two moments on so many pixels.

        Returns
        -------
        (n,) s of the trace and (n,) from 0 at its lowest to 1 at its highest; NaN between two
        stretches, where nothing is known
        """
        gap = np.array([np.nan])
        xs: list[FloatArray] = []
        ys: list[FloatArray] = []
        for first_s, last_s, pyramid in self._pieces:
            if last_s < from_s or first_s > to_s:
                continue
            seen = (min(last_s, to_s) - max(first_s, from_s)) / max(to_s - from_s, 1e-9)
            x, y = pyramid.view(from_s, to_s, max(int(columns * seen), 2))
            xs += [x, gap]
            ys += [y, gap]
        if not xs:
            return np.empty(0), np.empty(0)
        return np.concatenate(xs), np.concatenate(ys)


class TraceSignals(QObject):
    """Follows the trace's view; its key stands at the right edge."""

    def __init__(self, trace: TraceView, session: ReviewSession, parent: QObject) -> None:
        super().__init__(parent)
        self._trace, self._session = trace, session
        self._drawn: dict[str, tuple[FloatArray, FloatArray]] = {}
        self._made: dict[int, SignalLine] = {}
        self.key = SignalKey(trace)
        self._main = trace.getPlotItem().getViewBox()
        self._box = pg.ViewBox(enableMenu=False, enableMouse=False)
        self._box.disableAutoRange()
        self._box.setYRange(0, 1, padding=0.08)
        self._box.setZValue(BEHIND)
        trace.scene().addItem(self._box)
        self._shapes = PlotShapes(smooth=False)
        self._box.addItem(self._shapes)
        self._main.sigXRangeChanged.connect(self._redraw)
        self._main.sigResized.connect(self._redraw)
        session.state_changed.connect(self._take_state)

    @property
    def drawn(self) -> dict[str, tuple[FloatArray, FloatArray]]:
        """Of each signal by name: (n,) video seconds, (n,) 0 to 1, NaN where nothing is drawn."""
        return self._drawn

    def show_signals(self, signals: Sequence[ShownSignal]) -> None:
        """Draw these."""
        # Ticking one more must not thin the others anew.
        kept = {id(line.shown.signal): line for line in self._made.values()}
        self._made = {id(s.signal): kept.get(id(s.signal)) or SignalLine(s) for s in signals}
        self.key.set_entries([KeyEntry(s, f"{s.words}: {s.reach_words}") for s in signals])
        room = min(self.key.widest, WIDEST_KEY_PX) + 2 * EDGE_PX if signals else 1
        layout = self._trace.getPlotItem().layout
        layout.setContentsMargins(1, 1, room, 1)
        layout.activate()
        self._redraw()

    def _take_state(self, state: ReviewState, before: ReviewState) -> None:
        if state.alignment != before.alignment:
            self._redraw()

    def _redraw(self, *_changed: object) -> None:
        area = self._main.sceneBoundingRect()
        self._box.setGeometry(area)
        left, right = self._main.viewRange()[0]
        self._box.setXRange(left, right, padding=0)
        a = self._session.submission.stroke_clock.in_force
        self._drawn, shapes = {}, []
        for line in self._made.values():
            runs = [*on_film(line.view, a, left, right, max(int(area.width()), 1))]
            gap = np.array([np.nan])
            at_s, y = (np.concatenate([p for run in runs for p in (run[i], gap)]) for i in (0, 1))
            self._drawn[line.shown.name] = (at_s, y)
            shapes += line_of(line.shown, at_s, y)
        self._shapes.set_shapes(shapes)
        self.key.setGeometry(
            int(area.right()) + EDGE_PX,
            int(area.top()) + 2,
            min(self.key.widest, WIDEST_KEY_PX),
            max(int(area.height()), 1),
        )
