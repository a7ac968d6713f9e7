"""The ground and the axes of a plot, in what the bench wears."""

from __future__ import annotations

import pyqtgraph as pg

from app.window.widgets import theme


def dress_plot(plot: pg.PlotWidget) -> None:
    """Give a plot its ground and its force axis their colours."""
    plot.setBackground(theme.FLOOR)
    item = plot.getPlotItem()
    item.setLabel("left", "Force, N", color=theme.QUIET)
    for side in ("left", "bottom", "right", "top"):
        # The unit stands in the words. Without this, each of the four, seen or not, sets its words
        # anew whenever a range changes, and a range below one is told in thousandths.
        item.getAxis(side).enableAutoSIPrefix(False)
    for side in ("left", "bottom"):
        dress_axis(item.getAxis(side))


def dress_axis(axis: pg.AxisItem) -> None:
    """Give an axis its colours."""
    axis.setPen(theme.LINE)
    axis.setTextPen(theme.QUIET)


def label_percent(axis: pg.AxisItem) -> None:
    """Have an axis over the drive count in percent, from its beginning to its end."""
    named = [(float(at), f"{at} %") for at in range(0, 101, 20)]
    axis.setTicks([named, [(float(at), "") for at in range(10, 100, 20)]])
    axis.setStyle(hideOverlappingLabels=False)  # else the 100 % at the very end is left out
