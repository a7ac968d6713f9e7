"""The signals on the stroke curve: each unit with an axis of its own at the right."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Final

import numpy as np
import pyqtgraph as pg
from PySide6.QtCore import QObject
from PySide6.QtGui import QFontMetricsF

from analysis.force.trace import FloatArray
from analysis.signals.along import PERCENT
from analysis.signals.curves import CurveSet
from app.scene.force_curve import Band, band_shapes
from app.scene.shapes import Shape
from app.submission.shown_signals import MOST_UNITS, ShownSignal, units_of
from app.window.features.signals.signal_key import KeyEntry, SignalKey, line_of
from app.window.session.review_session import ReviewSession
from app.window.views.curve_view import CurveView
from app.window.views.plot_dress import dress_axis
from app.window.views.plot_shapes import DATA, PlotShapes
from app.window.views.stroke_panel import StrokeView
from app.window.widgets import theme

AXIS_PX = 46
ROOM = 0.1  # over and under a line, as a share of its reach
BEHIND = -10
STROKE_WIDTH, MEAN_WIDTH = 2.0, 1.0
NOTHING: Final = np.empty(0)


@dataclass
class CurveLine:
    """One signal on the curve: the stroke, thick, its doubt about it, and the mean of all, thin."""

    shown: ShownSignal
    stroke: FloatArray = field(default_factory=lambda: NOTHING)
    doubt: FloatArray = field(default_factory=lambda: NOTHING)
    mean: FloatArray = field(default_factory=lambda: NOTHING)
    curves: CurveSet | None = None
    low: float = 0.0
    high: float = 1.0


class UnitAxis:
    """A scale at the right and what is drawn on it."""

    def __init__(self, curve: CurveView, column: int) -> None:
        item = curve.getPlotItem()
        self.axis = pg.AxisItem("right")
        self.axis.enableAutoSIPrefix(False)
        self.axis.setWidth(AXIS_PX)
        item.layout.addItem(self.axis, 2, column)
        self.box = pg.ViewBox(enableMenu=False, enableMouse=False)
        self.box.disableAutoRange()
        self.box.setZValue(BEHIND)
        curve.scene().addItem(self.box)
        self._shapes = PlotShapes()
        self.box.addItem(self._shapes)
        self._words = self._unit = ""
        self.axis.linkToView(self.box)
        self.axis.hide()

    def show(self, lines: Sequence[CurveLine]) -> None:
        """Draw these."""
        along = PERCENT.astype(float)
        shapes: list[Shape] = []
        for line in lines:
            if len(line.doubt) and len(line.doubt) == len(line.stroke):
                low, high = line.stroke - line.doubt, line.stroke + line.doubt
                shapes += band_shapes(Band(along[: len(low)], low, high), DATA)
        for line in lines:
            for values, width in ((line.mean, MEAN_WIDTH), (line.stroke, STROKE_WIDTH)):
                shapes += line_of(line.shown, along[: len(values)], values, width)
        self._shapes.set_shapes(shapes)

    def say(self, words: str, unit: str = "") -> None:
        """Name it; without words it is not there, and with too many it says its unit."""
        self._words, self._unit = words, unit
        self.fit()
        self.axis.setVisible(bool(words))
        self.axis.setWidth(AXIS_PX if words else 0)

    def fit(self) -> None:
        """Say what fits its height, if need be nothing: the key names the signal as well."""
        height = self.box.sceneBoundingRect().height()
        wide = QFontMetricsF(self.axis.label.font()).horizontalAdvance
        fitting = (words for words in (self._words, self._unit) if wide(words) <= height)
        said = next(fitting, "")
        if said != self.axis.labelText:
            self.axis.setLabel(said, color=theme.QUIET)
            self.axis.resizeEvent()  # it puts words in its middle only when it is resized


class CurveSignals(QObject):
    """Follows the stroke under the playhead and the axis it is drawn over."""

    def __init__(
        self,
        curve: CurveView,
        view: StrokeView,
        session: ReviewSession,
        key: SignalKey,
        parent: QObject,
    ) -> None:
        super().__init__(parent)
        self._view, self._session, self.key = view, session, key
        self._lines: list[CurveLine] = []
        self._main = curve.getPlotItem().getViewBox()
        self.axes = tuple(UnitAxis(curve, 3 + i) for i in range(MOST_UNITS))
        self._main.sigResized.connect(self._place)
        theme.follow(self._dress)
        view.stroke_changed.connect(lambda _stroke: self._show_stroke())
        view.axis_changed.connect(lambda _axis: self._show_all())

    def _dress(self) -> None:
        for axis in self.axes:
            dress_axis(axis.axis)
            axis.axis.setLabel(axis.axis.labelText, color=theme.QUIET)

    @property
    def drawn(self) -> dict[str, tuple[FloatArray, FloatArray]]:
        """Of each signal by name: the stroke's (n,) and the mean's (n,) values as drawn."""
        return {line.shown.name: (line.stroke, line.mean) for line in self._lines}

    def show_signals(self, signals: Sequence[ShownSignal]) -> None:
        """Draw these."""
        self._lines = [CurveLine(shown) for shown in signals]
        self._show_all()

    @property
    def _is_shared(self) -> bool:
        """Whether the units are too many for axes, and every line has its own height."""
        return len(units_of([line.shown for line in self._lines])) > MOST_UNITS

    def _show_all(self) -> None:
        piece = self._session.submission.rowed
        for line in self._lines:
            if piece is not None:
                line.curves = piece.curves(line.shown.signal, self._view.axis)
            line.low, line.high = _reach(line)
        self._name_axes()
        self._show_stroke()
        self._place()

    def _name_axes(self) -> None:
        units = units_of([line.shown for line in self._lines])
        shared = self._is_shared
        for i, axis in enumerate(self.axes):
            on = [] if shared or i >= len(units) else self._of(units[i])
            axis.say(_axis_words(on), on[0].shown.unit if on else "")
            if on:
                low, high = min(n.low for n in on), max(n.high for n in on)
                axis.box.setYRange(low, high, padding=ROOM)
            else:
                axis.box.setYRange(0.0, 1.0, padding=ROOM)
        self.key.set_entries([KeyEntry(n.shown, _key_words(n, shared)) for n in self._lines])

    def _of(self, unit: str) -> list[CurveLine]:
        return [line for line in self._lines if line.shown.unit == unit]

    def _show_stroke(self) -> None:
        piece, stroke = self._session.submission.rowed, self._view.stroke
        for line in self._lines:
            own = doubt = None
            if piece is not None and stroke is not None and stroke in piece.strokes:
                signal = line.shown.signal
                own = piece.curve(signal, stroke, self._view.axis)
                if signal.doubt is not None:
                    doubt = piece.curve(signal.doubt, stroke, self._view.axis)
            mean = line.curves.mean if line.curves is not None else None
            line.stroke, line.mean = self._as_drawn(line, own), self._as_drawn(line, mean)
            line.doubt = NOTHING
            if doubt is not None:
                line.doubt = doubt / (line.high - line.low) if self._is_shared else doubt
        units = units_of([line.shown for line in self._lines])
        for i, axis in enumerate(self.axes):
            on = self._lines if self._is_shared else self._of(units[i]) if i < len(units) else []
            axis.show(on if i == 0 or not self._is_shared else [])

    def _as_drawn(self, line: CurveLine, values: FloatArray | None) -> FloatArray:
        if values is None or not np.isfinite(values).any():
            return NOTHING
        return (values - line.low) / (line.high - line.low) if self._is_shared else values

    def _place(self, *_changed: object) -> None:
        left, right = self._main.viewRange()[0]
        for axis in self.axes:
            axis.box.setGeometry(self._main.sceneBoundingRect())
            axis.box.setXRange(left, right, padding=0)
            axis.fit()


def _reach(line: CurveLine) -> tuple[float, float]:
    """Lowest and highest value of all drives; of the whole recording where there is none."""
    if line.curves is None:
        return line.shown.reach
    low, high = float(np.nanmin(line.curves.rows)), float(np.nanmax(line.curves.rows))
    return (low, high) if high > low else (low - 0.5, high + 0.5)


def _axis_words(lines: Sequence[CurveLine]) -> str:
    """One signal with its unit, or the unit several have."""
    if not lines:
        return ""
    return lines[0].shown.words if len(lines) == 1 else lines[0].shown.unit or "no unit"


def _key_words(line: CurveLine, shared: bool) -> str:
    shown = line.shown
    if not shared:
        return shown.words
    return f"{shown.words}: {shown.said(line.low)} to {shown.said(line.high)}"
