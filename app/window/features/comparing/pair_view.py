"""Two force curves over each other, with what is between them shaded."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import pyqtgraph as pg
from PySide6.QtCore import QPointF, Qt, Signal
from PySide6.QtGui import QColor, QMouseEvent, QResizeEvent, QWheelEvent
from PySide6.QtWidgets import QWidget

from app.window.features.comparing.pair_cursors import PairCursors
from app.window.widgets import theme

if TYPE_CHECKING:
    from analysis.comparing.curves import CurvePair, PairAxis

AXIS_WORDS: dict[PairAxis, str] = {
    "time": "Seconds from the catch",
    "length": "Metres of handle travel from the catch",
    "percent": "% of the drive's time",
}
SHADE = 60  # of 255


class PairView(pg.PlotWidget):
    """The left stroke's curve is a line, the right one's dashed. A click moves the playhead."""

    along_wanted = Signal(float)  # a place on the axis

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent, background=theme.FLOOR)
        self.setAccessibleName("Curves of the two strokes")
        self.setMinimumHeight(110)
        self._along: tuple[float | None, float | None] = (None, None)
        self._scrubbing = False
        item = self.getPlotItem()
        item.setMenuEnabled(False)
        item.hideButtons()
        item.setMouseEnabled(False, False)
        item.setLabel("left", "Force, N", color=theme.QUIET)
        item.getAxis("left").setWidth(52)
        for side in ("left", "bottom"):
            item.getAxis(side).setPen(theme.LINE)
            item.getAxis(side).setTextPen(theme.QUIET)
            item.getAxis(side).enableAutoSIPrefix(False)
        item.layout.setContentsMargins(0, 4, 12, 0)
        self._box = item.getViewBox()
        self._box.disableAutoRange()
        edge = pg.mkPen(None)
        self._edges = (pg.PlotCurveItem(pen=edge), pg.PlotCurveItem(pen=edge))
        shade = QColor(theme.TEXT)
        shade.setAlpha(SHADE)
        self._between = pg.FillBetweenItem(*self._edges, brush=shade)
        self._left = pg.PlotCurveItem(pen=pg.mkPen(theme.FORCE, width=2), connect="finite")
        dashed = pg.mkPen(theme.SECOND, width=2, style=Qt.PenStyle.DashLine)
        self._right = pg.PlotCurveItem(pen=dashed, connect="finite")
        for curve in (*self._edges, self._between, self._right, self._left):
            self.addItem(curve)
        self.cursors = PairCursors(self)
        self._box.sigResized.connect(self._place_cursors)

    def show_pair(self, pair: CurvePair | None) -> None:
        """Show two curves on their axis, or none."""
        if pair is None:
            for curve in (*self._edges, self._left, self._right):
                curve.setData([], [])
            self.getPlotItem().setLabel("bottom", "")
            return
        self._left.setData(pair.along, pair.left)
        self._right.setData(pair.along, pair.right)
        both = np.isfinite(pair.difference)
        self._edges[0].setData(pair.along[both], pair.left[both])
        self._edges[1].setData(pair.along[both], pair.right[both])
        top = float(np.nanmax(np.concatenate((pair.left, pair.right))))
        self._box.setXRange(float(pair.along[0]), float(pair.along[-1]), padding=0.02)
        self._box.setYRange(0, top * 1.08, padding=0)
        self.getPlotItem().setLabel("bottom", AXIS_WORDS[pair.axis], color=theme.QUIET)

    def set_along(self, left: float | None, right: float | None) -> None:
        """Stand at a place of either stroke on the axis; None outside its drive."""
        self._along = (left, right)
        self._place_cursors()

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Keep the sheet over the whole widget."""
        super().resizeEvent(event)
        # pyqtgraph resizes itself once while it is being built.
        if hasattr(self, "cursors"):
            self._place_cursors()

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """Move the playhead."""
        if event.button() == Qt.MouseButton.LeftButton:
            self._scrubbing = True
            self._scrub(event)
        event.accept()

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        """Scrub through the drive."""
        if self._scrubbing:
            self._scrub(event)
        event.accept()

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        """Let go."""
        self._scrubbing = False
        event.accept()

    def wheelEvent(self, event: QWheelEvent) -> None:
        """The curves have one size; a wheel over them does nothing."""
        event.accept()

    def _scrub(self, event: QMouseEvent) -> None:
        self.along_wanted.emit(float(self._box.mapSceneToView(event.position()).x()))

    def _place_cursors(self) -> None:
        area = self._box.sceneBoundingRect()
        if area != self.cursors.area:
            self.cursors.setGeometry(self.rect())
            self.cursors.area = area
            self.cursors.update()
        places = (
            None if along is None else self._box.mapViewToScene(QPointF(along, 0.0)).x()
            for along in self._along
        )
        self.cursors.move_to(*places)
