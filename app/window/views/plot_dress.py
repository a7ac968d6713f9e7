"""The ground and the axes of a plot, in what the bench wears."""

from __future__ import annotations

import pyqtgraph as pg

from app.window.widgets import theme


def dress_plot(plot: pg.PlotWidget) -> None:
    """Give a plot its ground and its force axis their colours."""
    plot.setBackground(theme.FLOOR)
    item = plot.getPlotItem()
    item.setLabel("left", "Force, N", color=theme.QUIET)
    for side in ("left", "bottom"):
        dress_axis(item.getAxis(side))


def dress_axis(axis: pg.AxisItem) -> None:
    """Give an axis its colours."""
    axis.setPen(theme.LINE)
    axis.setTextPen(theme.QUIET)
