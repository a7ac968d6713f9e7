"""The order of movement as bars."""

from __future__ import annotations

import xml.etree.ElementTree as ET

import pytest

from analysis.body.order import Order, Over, PartOfDrive
from app.scene import raster, svg
from app.scene.colours import LIGHT
from app.scene.order_figure import OrderLook, order_drawing, order_words
from app.scene.shapes import Rect, Text


def even(at: float) -> Over:
    return Over(at, at - 2.0, at + 2.0)


ORDER = Order(
    (
        PartOfDrive("legs", even(5.0), even(20.0), even(55.0), even(45.0)),
        PartOfDrive("trunk", even(35.0), even(60.0), even(80.0), even(57.0)),
        PartOfDrive("arms", None, None, None, even(-2.0)),
    ),
    8,
)
LOOK = OrderLook(420.0, 12.0)


def test_bars_stand_in_order_and_reach_as_far_as_they_last() -> None:
    drawing = order_drawing(ORDER, LOOK, raster.measure)
    legs, trunk = (shape for shape in drawing.shapes if isinstance(shape, Rect))
    assert legs.y < trunk.y and legs.x < trunk.x
    assert legs.width / trunk.width == pytest.approx((55.0 - 5.0) / (80.0 - 35.0))
    assert legs.x >= 0.0 and trunk.right <= drawing.width
    said = [shape.text for shape in drawing.shapes if isinstance(shape, Text)]
    assert {"Legs", "45 %", "57 %", "\N{MINUS SIGN}2 %", "hardly move"} <= set(said)
    assert "hands turn" in said and not any("atch" in text for text in said)


def test_it_can_be_painted_and_read_out() -> None:
    drawing = order_drawing(ORDER, LOOK, raster.measure)
    picture = raster.picture(drawing, LIGHT, 420)
    assert picture.std() > 10.0
    assert ET.fromstring(svg.document(drawing, LIGHT, order_words(ORDER))) is not None
    assert "Legs: from 5 to 55 % of the drive, 45 % of the handle's way." in order_words(ORDER)
    assert "Arms: hardly move" in order_words(ORDER)
