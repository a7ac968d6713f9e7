"""A figure in a widget: as large as there is room, values where they are painted."""

from __future__ import annotations

import numpy as np
import pytest
from PySide6.QtGui import QColor
from pytestqt.qtbot import QtBot

from analysis.comparing.curves import CurvePair
from app.window.features.comparing.pair_view import PairView
from app.window.widgets import theme


def pair() -> CurvePair:
    along = np.linspace(0.0, 100.0, 201)
    shape = 600.0 * np.sin(np.pi * along / 100.0)
    return CurvePair("percent", along, shape, 0.5 * shape)


@pytest.mark.parametrize("size", [(300, 110), (640, 300)])
def test_curves_are_painted_where_their_values_stand(size: tuple[int, int], qtbot: QtBot) -> None:
    view = PairView()
    qtbot.addWidget(view)
    view.resize(*size)
    view.show_pair(pair())
    view.show()
    plot = view.plot
    assert plot is not None and plot.bottom - plot.top > 0.4 * size[1]
    image = view.grab().toImage()
    x, wanted = round(plot.x.at(50.0)), QColor(theme.FORCE)
    y = round(plot.y.at(600.0))
    near = [QColor(image.pixel(x, y + dy)) for dy in (-1, 0, 1)]
    assert any(abs(n.blue() - wanted.blue()) + abs(n.red() - wanted.red()) < 60 for n in near)
    foot = QColor(image.pixel(x, round(plot.bottom) - 5))
    assert foot == QColor(theme.FLOOR), "below the lower curve there is nothing"
    assert plot.x.value(plot.x.at(37.0)) == pytest.approx(37.0)


def test_a_click_asks_for_the_place_on_the_axis(qtbot: QtBot) -> None:
    from PySide6.QtCore import QPoint, Qt

    view = PairView()
    qtbot.addWidget(view)
    view.resize(640, 300)
    view.show()
    qtbot.mouseClick(view, Qt.MouseButton.LeftButton, pos=QPoint(200, 100))  # nothing there yet
    view.show_pair(pair())
    view.set_along(25.0, None)
    assert view.plot is not None
    x = round(view.plot.x.at(75.0))
    with qtbot.waitSignal(view.along_wanted) as asked:
        qtbot.mouseClick(view, Qt.MouseButton.LeftButton, pos=QPoint(x, 100))
    assert asked.args is not None and asked.args[0] == pytest.approx(75.0, abs=0.5)
    for size in ((640, 300), (320, 200)):
        view.resize(*size)
        assert view.cursors.places[0] == pytest.approx(view.plot.x.at(25.0))


def test_without_a_pair_there_is_no_plot(qtbot: QtBot) -> None:
    view = PairView()
    qtbot.addWidget(view)
    view.show_pair(pair())
    view.set_along(25.0, 30.0)
    view.show_pair(None)
    assert view.plot is None and view.cursors.places == (None, None)
