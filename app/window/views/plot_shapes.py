"""The painter of plots that pyqtgraph scales and zooms: shapes of a scene in data coordinates."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

import numpy as np
import pyqtgraph as pg
from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QBrush, QPainter, QPainterPath, QPen, QPolygonF
from PySide6.QtWidgets import QStyleOptionGraphicsItem, QWidget

from app.scene.plot import Plot, Scale
from app.scene.shapes import Area, Line, Palette, Shape
from app.window.views.scene_paint import bench_palette, colour_of, pen_of
from app.window.widgets import theme

_SAME: Final = Scale(((0.0, 0.0), (1.0, 1.0)))
# Where values stand for a description: at themselves, since pyqtgraph places what is drawn.
DATA: Final = Plot(0.0, 0.0, 1.0, 1.0, _SAME, _SAME)


_NO_PLACE = "only lines and areas have places in data; the rest lies over the plot"


class PlotShapes(pg.GraphicsObject):
    """Shows lines and areas described with `DATA`; widths stay those of the screen.

    Parameters
    ----------
    smooth : soften edges; not for thousands of points that are painted with every frame
    """

    def __init__(self, smooth: bool = True) -> None:
        super().__init__()
        self._smooth = smooth
        self._shapes: tuple[Shape, ...] = ()
        self._painted: list[tuple[QPen, QBrush, QPainterPath]] | None = None
        self._bounds = QRectF()
        theme.follow(self._dress)

    def set_shapes(self, shapes: Sequence[Shape]) -> None:
        """Show these, the first at the bottom; raises TypeError for what has no place in data."""
        if not all(isinstance(shape, Line | Area) for shape in shapes):
            raise TypeError(_NO_PLACE)
        self._shapes = tuple(shapes)
        self._dress()

    def _dress(self) -> None:
        self.prepareGeometryChange()
        self._painted = None
        self.update()

    def _ready(self) -> list[tuple[QPen, QBrush, QPainterPath]]:
        """What is painted; made when it is asked for, for shapes change more often than that."""
        if self._painted is None:
            palette = bench_palette()
            self._painted = [_ready(shape, palette) for shape in self._shapes]
            self._bounds = QRectF()
            for _pen, _brush, path in self._painted:
                self._bounds = self._bounds.united(path.boundingRect())
        return self._painted

    def boundingRect(self) -> QRectF:
        """All of it, with room for the widths of lines."""
        painted = self._ready()
        across, up = self.pixelVectors()
        if across is None or up is None or self._bounds.isNull():
            return QRectF(self._bounds)
        wide = max((pen.widthF() for pen, _brush, _path in painted), default=0.0)
        x, y = wide * across.length(), wide * up.length()
        return self._bounds.adjusted(-x, -y, x, y)

    def viewTransformChanged(self) -> None:
        """Take the room for widths anew."""
        self.prepareGeometryChange()

    def paint(
        self, painter: QPainter, option: QStyleOptionGraphicsItem, widget: QWidget | None = None
    ) -> None:
        """Paint them."""
        painter.setRenderHint(QPainter.RenderHint.Antialiasing, self._smooth)
        for pen, brush, path in self._ready():
            painter.setPen(pen)
            painter.setBrush(brush)
            painter.drawPath(path)


def _ready(shape: Shape, palette: Palette) -> tuple[QPen, QBrush, QPainterPath]:
    match shape:
        case Line():
            pen = pen_of(shape, palette)
            pen.setCosmetic(True)
            x, y = np.array(shape.points, dtype=float).T
            return pen, QBrush(Qt.BrushStyle.NoBrush), pg.arrayToQPath(x, y)
        case Area():
            path = QPainterPath()
            path.addPolygon(QPolygonF([QPointF(*point) for point in shape.points]))
            fill = QBrush(colour_of(shape.ink, palette, shape.opacity))
            return QPen(Qt.PenStyle.NoPen), fill, path
    raise TypeError(_NO_PLACE)
