"""The order of movement as a widget."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtGui import QPainter, QPaintEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from app.scene.order_figure import OrderLook, order_drawing, order_words
from app.window.views.scene_paint import bench_palette, measure_in, paint

if TYPE_CHECKING:
    from analysis.body.order import Order


class OrderView(QWidget):
    """The order of movement, as wide as there is room."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._order: Order | None = None
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.set_order(None)

    def set_order(self, order: Order | None) -> None:
        """Show this one, or nothing."""
        self._order = order
        letter = float(self.fontInfo().pixelSize())
        self.setFixedHeight(round(12.9 * letter) if order is not None else 0)
        self.setAccessibleName(order_words(order) if order is not None else "Order of movement")
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:
        """Paint it."""
        if self._order is None:
            return
        look = OrderLook(float(self.width()), float(self.fontInfo().pixelSize()))
        drawing = order_drawing(self._order, look, measure_in(self.font()))
        paint(QPainter(self), drawing.shapes, bench_palette())
