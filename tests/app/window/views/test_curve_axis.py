"""The axis of the stroke's curve reaches over what is drawn, and no further for long."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from PySide6.QtGui import QPainter, QPixmap
from pytestqt.qtbot import QtBot

from analysis.force.target import steady_rowing
from app.scene.shapes import Rect
from app.window.views.curve_view import CurveView


def top(view: CurveView) -> float:
    return float(view.getPlotItem().getViewBox().viewRange()[1][1])


def test_it_shrinks_again_after_a_target_that_was_too_high(qtbot: QtBot) -> None:
    view = CurveView()
    qtbot.addWidget(view)
    view.set_stroke(500.0 * np.sin(np.linspace(0.0, np.pi, 101)))
    usual = top(view)
    assert 500.0 < usual < 1000.0
    view.set_target(replace(steady_rowing("time"), level_n=2600.0))
    assert top(view) > 2600.0
    view.set_target(None)
    assert top(view) == usual
    view.set_stroke(None)
    assert top(view) == usual, "an axis of nothing stays as it was"


def test_the_axis_under_the_curve_says_what_it_counts_up_to_its_end(qtbot: QtBot) -> None:
    view = CurveView()
    qtbot.addWidget(view)
    view.resize(410, 200)
    with qtbot.waitExposed(view):
        view.show()
    axis = view.getPlotItem().getAxis("bottom")
    ground = QPixmap(1, 1)
    painter = QPainter(ground)
    _axis, _ticks, texts = axis.generateDrawSpecs(painter)
    painter.end()
    assert [text for _place, _flags, text in texts] == [f"{at} %" for at in range(0, 101, 20)]
    assert axis.mapRectToScene(texts[-1][0]).right() <= view.width()


@pytest.mark.parametrize("high", [110, 150, 400])
@pytest.mark.parametrize("hint", ["", "Draw the curve from left to right"])
def test_words_over_the_curve_hide_none_of_it(qtbot: QtBot, high: int, hint: str) -> None:
    """The number of a finding stands on a plate of its own, the hint under it."""
    view = CurveView()
    qtbot.addWidget(view)
    view.resize(396, high)
    with qtbot.waitExposed(view):
        view.show()
    view.set_stroke(500.0 * np.sin(np.linspace(0.0, np.pi, 101)))
    view.set_evidence((20.0, 40.0, "16.3 % of peak (limit 6)"))
    view.set_hint(hint)
    plates = [s for s in view._sheet._evidence if isinstance(s, Rect) and s.ink == "ground"]
    words = view._sheet.fontMetrics().height() if hint else 0
    assert plates
    assert view.place_of(50.0, 500.0).y() >= plates[0].y + plates[0].height + words
