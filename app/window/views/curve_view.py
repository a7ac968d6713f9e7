"""The force curve of the stroke under the playhead, the athlete's mean, and the target."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np
import pyqtgraph as pg
from PySide6.QtCore import QPointF, QRectF, Qt, Signal
from PySide6.QtGui import QMouseEvent, QResizeEvent, QWheelEvent
from PySide6.QtWidgets import QWidget

from analysis.force.curves import PERCENT
from analysis.force.target import Handle, TargetCurve, move_handle, sample_target
from app.scene.force_curve import (
    PENS,
    Band,
    Curve,
    Evidence,
    band_shapes,
    curve_shapes,
    evidence_shapes,
    over_drive,
)
from app.scene.plot import Plot
from app.scene.shapes import Area, Shape
from app.window.views.plot_dress import dress_plot, label_percent
from app.window.views.plot_shapes import DATA, PlotShapes
from app.window.views.scene_paint import plot_of
from app.window.views.target_handles import HANDLE_NAMES, TargetHandles, handle_places
from app.window.widgets import theme

if TYPE_CHECKING:
    from analysis.force.curves import CurveSet
    from analysis.force.trace import FloatArray

HANDLE_REACH_PX = 13
LABEL_PX = 16  # room for the half of a label that stands beyond the end of an axis

LAYERS = ("mean", "read", "own", "target", "drawn")  # the last one lies over the others
HEADROOM = 1.28  # the number a finding rests on stands over the curve
MOST_HEADROOM = 2.0  # a plot that is hardly higher than a line of words keeps half for its curve


class CurveView(pg.PlotWidget):
    """Force over 0-100 % of the drive. A click moves the playhead; handles shape the target."""

    percent_wanted = Signal(float)
    target_moved = Signal(object)  # TargetCurve while a handle is dragged
    target_dropped = Signal()  # the hand let go
    scaled = Signal()  # the plot has another size or another scale
    drawn = Signal(object)  # (P, 2) percent and N, a freehand line

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent, enableMenu=False)
        self.setAccessibleName("Stroke curve")
        self.setMinimumHeight(110)
        self._target: TargetCurve | None = None
        self._held: Handle | None = None
        self._tops: dict[str, float] = {}  # the highest force of what is drawn, N
        self._drawing = False
        self._line: list[tuple[float, float]] = []
        self._scrubbing = False
        self._cursor_pct: float | None = None
        self._evidence: tuple[float, float, str] | None = None
        item = self.getPlotItem()
        item.hideButtons()
        item.setMouseEnabled(False, False)
        item.getAxis("left").setWidth(52)
        item.layout.setContentsMargins(0, 4, LABEL_PX, 0)
        label_percent(item.getAxis("bottom"))
        item.getAxis("bottom").setStyle(tickTextOffset=7)  # below the ends of a target
        self._box = item.getViewBox()
        self._box.disableAutoRange()
        self._box.setXRange(0, 100, padding=0.02)
        self._box.setYRange(0, 100, padding=0)
        self._shapes = PlotShapes()
        self._layers: dict[str, list[Shape]] = {name: [] for name in LAYERS}
        self.addItem(self._shapes)
        theme.follow(self._dress)
        self._sheet = TargetHandles(self)
        self._box.sigResized.connect(self._fit_axis)
        self._box.sigResized.connect(self._place_sheet)
        self._box.sigYRangeChanged.connect(self._place_sheet)

    def _dress(self) -> None:
        dress_plot(self)

    def set_mean(self, curves: CurveSet | None, has_axis: bool = False) -> None:
        """Show the athlete's mean and spread.

        Parameters
        ----------
        has_axis : there are curves over this axis, though none of a force
        """
        on_left = curves is not None or not has_axis
        self.getPlotItem().showAxis("left", on_left)
        self.getPlotItem().layout.setContentsMargins(0 if on_left else LABEL_PX, 4, LABEL_PX, 0)
        # An axis of nothing would only look like a curve that is missing.
        for side, there in (("left", curves is not None), ("bottom", curves or has_axis)):
            self.getPlotItem().getAxis(side).setStyle(showValues=bool(there))
        if curves is None:
            self._draw("mean")
            self._reach("mean", 0.0)
            return
        along = PERCENT.astype(float)
        band = Band(along, curves.mean - curves.sd, curves.mean + curves.sd)
        self._draw("mean", over_drive("mean", curves.mean), band=band)
        self._reach("mean", float(max(np.max(curves.mean + curves.sd), np.max(curves.rows))))

    def set_read(self, curves: Sequence[tuple[Curve, Band]]) -> None:
        """Show curves that were read from pictures, each with how sure it is."""
        bands = [
            replace(shape, ink="read band", opacity=0.22)
            for _curve, band in curves
            for shape in band_shapes(band, DATA)
            if isinstance(shape, Area)
        ]
        lines = curve_shapes([curve for curve, _band in curves], DATA)
        self._layers["read"] = [*bands, *lines]
        self._shapes.set_shapes(self.shown)
        if curves:
            self.getPlotItem().showAxis("left", True)
            for side in ("left", "bottom"):
                self.getPlotItem().getAxis(side).setStyle(showValues=True)
        self._reach("read", max((float(np.nanmax(c.values)) for c, _b in curves), default=0.0))

    def set_stroke(self, force_n: FloatArray | None) -> None:
        """Show the stroke under the playhead."""
        if force_n is None:
            self._draw("own")
            self._reach("stroke", 0.0)
            return
        self._draw("own", over_drive("own", force_n))
        self._reach("stroke", float(np.max(force_n)))

    def set_cursor(self, percent: float | None) -> None:
        """Stand at a percent of the drive; None during the recovery."""
        self._cursor_pct = percent
        self._sheet.move_cursor(None if percent is None else self.place_of(percent, 0.0).x())

    def set_evidence(self, evidence: tuple[float, float, str] | None) -> None:
        """Shade a span of the drive, in percent, with the number it shows; None for nothing."""
        self._evidence = evidence
        if evidence is None:
            self._sheet.set_evidence(())
            return
        first, last, words = evidence
        size = float(self._sheet.fontInfo().pixelSize())
        wide = self._sheet.fontMetrics().horizontalAdvance(words)
        evidence_now = Evidence(first, min(last, 100.0), words)
        shapes = evidence_shapes(evidence_now, self.plot, size, wide)
        self._sheet.set_evidence(tuple(shapes))

    def set_target(self, target: TargetCurve | None) -> None:
        """Show the target with its handles, or none."""
        self._target = target
        if target is None:
            self._draw("target")
            self._reach("target", 0.0)
        else:
            force_n = sample_target(target)
            self._draw("target", over_drive("target", force_n))
            self._reach("target", float(np.max(force_n)))
        self._place_handles()

    def _draw(self, layer: str, *curves: Curve, band: Band | None = None) -> None:
        """Show these curves in place of what a layer had."""
        self._layers[layer] = [*band_shapes(band, DATA), *curve_shapes(curves, DATA)]
        self._shapes.set_shapes(self.shown)

    def _reach(self, what: str, top_n: float) -> None:
        """Let the axis reach over all that is drawn; it shrinks again once no hand holds it."""
        self._tops[what] = top_n
        self._fit_axis()

    def _fit_axis(self, *_resized: object) -> None:
        top = max(self._tops.values(), default=0.0) * self._headroom
        now = float(self._box.viewRange()[1][1])
        shrinks = top < now and self._held is None
        if top > 0.0 and (top > now or shrinks):
            self._box.setYRange(0, top, padding=0)

    @property
    def _headroom(self) -> float:
        """How far the axis goes over the curve, so that the words there hide none of it."""
        high, line = float(self._box.height()), self._sheet.fontMetrics().height()
        words = 1.7 * line + (1.2 * line if self._sheet.hint else 0.0)
        return max(HEADROOM, min(high / max(high - words, 1.0), MOST_HEADROOM))

    def set_drawing(self, drawing: bool) -> None:
        """Take the next drag as a freehand target."""
        self._drawing = drawing
        shape = Qt.CursorShape.CrossCursor if drawing else Qt.CursorShape.ArrowCursor
        self.viewport().setCursor(shape)
        self.set_hint("Draw the curve from left to right" if drawing else "")

    def set_hint(self, hint: str) -> None:
        """Say what to do, over the plot."""
        self._sheet.set_hint(hint)
        self._fit_axis()

    @property
    def shown(self) -> tuple[Shape, ...]:
        """What is drawn in percent and newtons, the lowest first."""
        return tuple(shape for layer in self._layers.values() for shape in layer)

    @property
    def area(self) -> QRectF:
        """The plot's own rectangle, widget pixels."""
        return self._box.sceneBoundingRect()

    @property
    def plot(self) -> Plot:
        """Where percent and newtons stand, for what is painted over the curves."""
        corner, far = self.place_of(0.0, 0.0), self.place_of(100.0, 100.0)
        x = ((0.0, corner.x()), (100.0, far.x()))
        return plot_of(self.area, x, ((0.0, corner.y()), (100.0, far.y())))

    def place_of(self, percent: float, force_n: float) -> QPointF:
        """Widget pixels of a point of the plot."""
        return self._box.mapViewToScene(QPointF(percent, force_n))

    def value_at(self, place: QPointF) -> tuple[float, float]:
        """Percent and newtons at a widget pixel."""
        point = self._box.mapSceneToView(place)
        return float(point.x()), float(point.y())

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Keep the sheet over the whole widget."""
        super().resizeEvent(event)
        # pyqtgraph resizes itself once while it is being built.
        if hasattr(self, "_sheet"):
            self._place_sheet()

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """Take a handle, begin a line, or move the playhead."""
        if event.button() == Qt.MouseButton.LeftButton:
            place = event.position()
            self._held = None if self._drawing else self._handle_at(place)
            if self._drawing:
                self._line = [self.value_at(place)]
            elif self._held is None:
                self._scrubbing = True
                self.percent_wanted.emit(self.value_at(place)[0])
        event.accept()

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        """Drag a handle, go on with a line, or scrub through the drive."""
        percent, force_n = self.value_at(event.position())
        if self._held is not None and self._target is not None:
            self.target_moved.emit(move_handle(self._target, self._held, percent, force_n))
        elif self._drawing and self._line:
            self._line.append((percent, force_n))
            x, y = np.array(self._line).T
            self._draw("drawn", Curve("target", x, y, pen=PENS["drawn"]))
        elif self._scrubbing:
            self.percent_wanted.emit(percent)
        else:
            held = self._handle_at(event.position())
            self._sheet.set_hover(held)
            self.setToolTip(HANDLE_NAMES[held] if held else "")
        event.accept()

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        """Let go."""
        if self._held is not None:
            self._held = None
            self._reach("target", self._tops.get("target", 0.0))
            self.target_dropped.emit()
        elif self._drawing and self._line:
            line, self._line = np.array(self._line), []
            self._draw("drawn")
            self.drawn.emit(line)
        self._scrubbing = False
        event.accept()

    def wheelEvent(self, event: QWheelEvent) -> None:
        """The curve has one size; a wheel over it does nothing."""
        event.accept()

    def _place_sheet(self) -> None:
        self._sheet.setGeometry(self.rect())
        self._sheet.area = self._box.sceneBoundingRect()
        self._place_handles()
        self.set_cursor(self._cursor_pct)
        self.set_evidence(self._evidence)
        self.scaled.emit()

    def _place_handles(self) -> None:
        places = {}
        if self._target is not None:
            places = {
                name: self.place_of(percent, force_n)
                for name, (percent, force_n) in handle_places(self._target).items()
            }
        self._sheet.set_places(places)

    def _handle_at(self, place: QPointF) -> Handle | None:
        best: Handle | None = None
        reach = float(HANDLE_REACH_PX)
        for name, where in self._sheet.places.items():
            away = float(np.hypot(where.x() - place.x(), where.y() - place.y()))
            if away <= reach:
                best, reach = name, away
        return best
