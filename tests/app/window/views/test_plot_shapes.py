"""What pyqtgraph scales is painted from the shapes the other painters take."""

from __future__ import annotations

import numpy as np
import pyqtgraph as pg
import pytest
from PySide6.QtGui import QColor, QImage
from pytestqt.qtbot import QtBot

from app.scene.colours import DARK
from app.scene.force_curve import PENS, Band, band_shapes, curve_shapes, over_drive
from app.scene.plot import Entry
from app.scene.shapes import Circle
from app.window.main_window import MainWindow
from app.window.views.plot_shapes import DATA, PlotShapes
from app.window.views.scene_paint import entry_words

LEVEL_N = 50.0


@pytest.fixture
def plot(qtbot: QtBot) -> pg.PlotWidget:
    """A plot of 0 to 100 across and up, without axes."""
    widget = pg.PlotWidget(background=DARK["ground"])
    qtbot.addWidget(widget)
    for side in ("left", "bottom"):
        widget.getPlotItem().hideAxis(side)
    widget.getPlotItem().hideButtons()
    widget.setFixedSize(200, 200)
    widget.getPlotItem().getViewBox().disableAutoRange()
    widget.show()
    qtbot.waitExposed(widget)
    widget.setRange(xRange=(0, 100), yRange=(0, 100), padding=0)
    return widget


def painted(widget: pg.PlotWidget) -> QImage:
    return widget.grab().toImage()


def ink_at(widget: pg.PlotWidget, x: float, y: float) -> str:
    """The role whose colour a place has nearly: edges are softened."""
    image = painted(widget)
    place = widget.getPlotItem().getViewBox().mapViewToScene(pg.Point(x, y)).toPoint()
    seen = np.array(image.pixelColor(place).getRgb()[:3])
    away = {
        ink: np.abs(seen - QColor(DARK[ink]).getRgb()[:3]).sum()
        for ink in ("own", "band", "ground")
    }
    return min(away, key=lambda ink: away[ink])


def test_lines_and_areas_stand_where_their_values_are(plot: pg.PlotWidget) -> None:
    item = PlotShapes()
    plot.addItem(item)
    level = np.full(101, LEVEL_N)
    band = Band(np.arange(101.0), level - 30.0, level - 10.0)
    curve = over_drive("own", level)
    item.set_shapes([*band_shapes(band, DATA), *curve_shapes([curve], DATA)])
    assert ink_at(plot, 40.0, LEVEL_N) == "own"
    assert ink_at(plot, 40.0, LEVEL_N - 20.0) == "band"
    assert ink_at(plot, 40.0, LEVEL_N + 20.0) == "ground"
    plot.setYRange(0.0, 200.0, padding=0)
    assert ink_at(plot, 40.0, LEVEL_N) == "own", "it moves with the scale"
    item.set_shapes(())
    assert ink_at(plot, 40.0, LEVEL_N) == "ground"


@pytest.mark.parametrize("top_n", [60.0, 6000.0])
def test_a_line_is_as_wide_as_its_pen_whatever_the_scale(plot: pg.PlotWidget, top_n: float) -> None:
    item = PlotShapes()
    plot.addItem(item)
    plot.setYRange(0.0, top_n, padding=0)
    item.set_shapes(curve_shapes([over_drive("own", np.full(101, 0.5 * top_n))], DATA))
    image, own, ground = painted(plot), QColor(DARK["own"]), QColor(DARK["ground"])
    column = [image.pixelColor(100, y).blue() for y in range(image.height())]
    inked = sum((blue - ground.blue()) / (own.blue() - ground.blue()) for blue in column)
    assert inked == pytest.approx(PENS["own"].width, abs=0.15)


def test_what_has_no_place_in_data_is_refused() -> None:
    with pytest.raises(TypeError, match="lines and areas"):
        PlotShapes().set_shapes([Circle(1.0, 2.0, 3.0, "own")])


def test_the_stroke_curve_shows_the_shapes_of_the_scene(loaded: MainWindow, qtbot: QtBot) -> None:
    piece, view = loaded.session.submission.piece, loaded.view
    assert piece is not None and piece.by_time is not None
    loaded.playhead.seek(piece.strokes[1].catch_s + 0.1)
    qtbot.waitUntil(lambda: view.stroke is piece.strokes[1], timeout=20000)
    curves = piece.by_time
    own = curves.rows[curves.stroke_indices.index(1)]
    along = np.arange(101.0)
    band = Band(along, curves.mean - curves.sd, curves.mean + curves.sd)
    both = [over_drive("mean", curves.mean), over_drive("own", own)]
    expected = [*band_shapes(band, DATA), *curve_shapes(both, DATA)]
    assert list(loaded.curve.shown) == expected


def test_a_key_shows_ink_and_dashes() -> None:
    said = entry_words(Entry("target", "aim <at>", PENS["target"]))
    assert DARK["target"].lower() in said.lower() and "╌" in said and "aim &lt;at&gt;" in said
    assert "━" in entry_words(Entry("own", "this", PENS["own"]))
