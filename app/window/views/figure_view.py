"""A figure of the scene as a widget, as large as there is room."""

from __future__ import annotations

from dataclasses import replace
from typing import Final

from PySide6.QtCore import QRectF
from PySide6.QtGui import QColor, QPainter, QPaintEvent, QResizeEvent
from PySide6.QtWidgets import QWidget

from app.scene.figure import Figure, LaidOut, lay_out
from app.scene.plot import Plot
from app.window.views.scene_paint import bench_palette, measure_in, paint
from app.window.widgets import theme

LETTER: Final = 11.0  # of a figure before it is in a widget; there its letters are the widget's
_LOW: Final = 13.0  # a widget lower than so many letters leaves the words of the axes out


class FigureView(QWidget):
    """Shows a figure in the bench's colours, or nothing."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._figure: Figure | None = None
        self._laid: LaidOut | None = None

    @property
    def plot(self) -> Plot | None:
        """Where values stand in the widget."""
        return None if self._laid is None else self._laid.plot

    @property
    def area(self) -> QRectF:
        """The plot's own rectangle, widget pixels; empty without a figure."""
        plot = self.plot
        if plot is None:
            return QRectF()
        return QRectF(plot.left, plot.top, plot.right - plot.left, plot.bottom - plot.top)

    def set_figure(self, figure: Figure | None) -> None:
        """Show this one."""
        self._figure = figure
        self._lay_out()
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:
        """Paint it."""
        painter = QPainter(self)
        painter.fillRect(self.rect(), QColor(theme.FLOOR))
        if self._laid is not None:
            paint(painter, self._laid.drawing.shapes, bench_palette())

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Place everything anew."""
        super().resizeEvent(event)
        self._lay_out()

    def _lay_out(self) -> None:
        self._laid = None
        if self._figure is not None:
            size = (float(self.width()), float(self.height()))
            letter = float(self.fontInfo().pixelSize())
            figure = replace(self._figure, size=size, letter=letter)
            if self.height() < _LOW * letter:
                ticks = [replace(tick, below="") for tick in figure.ticks]
                figure = replace(figure, ticks=ticks, x_words="", y_words="")
            self._laid = lay_out(figure, measure_in(self.font()))
