"""The three painters of a scene put the same shapes at the same places."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from typing import cast

import numpy as np
import pytest
from PySide6.QtGui import QColor, QImage, QPainter

from app.scene import raster, svg
from app.scene.lettering import outlines, path_data
from app.scene.shapes import Anchor, Area, Circle, Drawing, Group, Line, Picture, Rect, Shape, Text
from app.window.views import scene_paint

PALETTE = {"ground": "#FFFFFF", "one": "#D55E00", "two": "#0072B2"}
SIZE = (120, 80)
SHAPES: dict[str, Shape] = {
    "line": Line(((10.0, 10.0), (60.0, 60.0), (110.0, 20.0)), "one", 4.0),
    "dashes": Line(((10.0, 40.0), (110.0, 40.0)), "one", 4.0, (12.0, 8.0)),
    "area": Area(((20.0, 20.0), (100.0, 30.0), (50.0, 70.0)), "two"),
    "faint area": Area(((20.0, 20.0), (100.0, 30.0), (50.0, 70.0)), "two", 0.4),
    "rectangle": Rect(15.0, 20.0, 60.0, 30.0, "two", 1.0, 0.0, "one", 3.0),
    "faint rectangle": Rect(15.0, 20.0, 60.0, 30.0, "two", 0.3),
    "circle": Circle(60.0, 40.0, 20.0, "ground", "one", 4.0),
    "group": Group(
        (Line(((10.0, 10.0), (110.0, 70.0)), "one", 4.0), Circle(60.0, 40.0, 9.0, "two"))
    ),
}  # fmt: skip


def by_raster(shape: Shape) -> np.ndarray:
    image = np.full((SIZE[1], SIZE[0], 3), 255, np.uint8)
    raster.paint(image, [shape], PALETTE)
    return image


def by_qt(shape: Shape) -> np.ndarray:
    image = QImage(*SIZE, QImage.Format.Format_RGB888)
    image.fill(QColor("#FFFFFF"))
    painter = QPainter(image)
    scene_paint.paint(painter, [shape], PALETTE)
    painter.end()
    rows = np.frombuffer(bytes(image.constBits()), np.uint8).reshape(SIZE[1], -1)
    return rows[:, : 3 * SIZE[0]].reshape(SIZE[1], SIZE[0], 3)


@pytest.mark.parametrize("name", SHAPES)
def test_pixels_and_widgets_show_the_same(name: str, qapp: object) -> None:
    """Each pixel of one is near one of its colour in the other, but for soft edges."""
    one, other = by_raster(SHAPES[name]).astype(int), by_qt(SHAPES[name]).astype(int)
    assert (one != 255).any() and (other != 255).any()
    for here, there in ((one, other), (other, one)):
        near = np.full(here.shape[:2], 255)
        for dy in (-2, -1, 0, 1, 2):
            for dx in (-2, -1, 0, 1, 2):
                moved = np.roll(there, (dy, dx), (0, 1))
                near = np.minimum(near, np.abs(here - moved).max(axis=2))
        assert np.percentile(near, 99.5) < 140, name


def test_the_svg_has_the_same_geometry() -> None:
    drawing = Drawing(120.0, 80.0, tuple(SHAPES.values()))
    root = ET.fromstring(svg.document(drawing, PALETTE))
    space = "{http://www.w3.org/2000/svg}"
    paths = {p.get("d"): p for p in root.iter(f"{space}path")}
    line = paths["M10 10L60 60L110 20"]
    assert (line.get("stroke"), line.get("stroke-width"), line.get("fill")) == (
        "#D55E00",
        "4",
        "none",
    )
    assert paths["M10 40L110 40"].get("stroke-dasharray") == "12 8"
    assert "M20 20L100 30L50 70Z" in paths
    circle = root.find(f"{space}circle")
    assert circle is not None
    assert [circle.get(k) for k in ("cx", "cy", "r", "stroke")] == ["60", "40", "20", "#D55E00"]
    assert [r.get("opacity") for r in root.iter(f"{space}rect")][1:] == [None, "0.30"]


def test_a_pages_elements_leave_colours_to_its_style_sheet() -> None:
    text = svg.elements(
        [*SHAPES.values(), Text(1.0, 2.0, "a <b>", 9.0, "two")], {"two": "drawn two"}
    )
    assert 'class="one"' in text and 'class="drawn two"' in text and "a &lt;b&gt;" in text
    assert not re.search(r'(?:fill|stroke|opacity|style|color)="', text)
    ET.fromstring(f"<svg>{text}</svg>")


@pytest.mark.parametrize("anchor", ["start", "middle", "end"])
def test_words_stand_where_their_anchor_says(anchor: str, qapp: object) -> None:
    text = Text(60.0, 50.0, "Force", 16.0, "two", cast(Anchor, anchor), True)
    wide = raster.measure("Force", 16.0, True)
    left = {"start": 60.0, "middle": 60.0 - wide / 2, "end": 60.0 - wide}[anchor]
    for image in (by_raster(text), by_qt(text)):
        columns = np.flatnonzero((image < 128).any(axis=(0, 2)))
        assert columns[0] == pytest.approx(left, abs=3)
        assert columns[-1] == pytest.approx(left + wide, abs=3)


def test_a_halo_surrounds_letters() -> None:
    image = np.zeros((80, 120, 3), np.uint8)
    text = Text(20.0, 50.0, "I", 30.0, "two", "start", True, "ground", 6.0)
    raster.paint(image, [text], PALETTE)
    row = image[40]
    white = np.flatnonzero((row > 250).all(axis=1))
    blue = np.flatnonzero((np.abs(row.astype(int) - (0x00, 0x72, 0xB2)) < 20).all(axis=1))
    assert white[0] < blue[0] and blue[-1] < white[-1]


def test_a_picture_keeps_its_pixels_inside_its_rim() -> None:
    image = np.random.default_rng(1).integers(0, 255, (40, 60, 3)).astype(np.uint8)
    drawing = Drawing(120.0, 80.0, (Picture(20.0, 20.0, 60.0, 40.0, image, "one", 3.0),))
    painted = raster.picture(drawing, PALETTE, 120)
    assert np.array_equal(painted[28:52, 28:72], image[8:32, 8:52])
    assert painted[40, 18].tolist() == [0xD5, 0x5E, 0x00]
    assert painted[18, 18].tolist() != [0xD5, 0x5E, 0x00], "its corners are round"
    with pytest.raises(ValueError, match="pack"):
        svg.document(drawing, PALETTE)


def test_letters_as_path_are_the_letters_as_outline() -> None:
    numbers = [
        float(v) for v in re.findall(r"-?\d+\.\d+", path_data("Ég$1", False, 20.0, 5.0, 30.0))
    ]
    places = np.array(numbers).reshape(-1, 2)
    drawn = np.concatenate(outlines("Ég$1", False)) * (20.0, -20.0) + (5.0, 30.0)
    assert places.min(axis=0) == pytest.approx(drawn.min(axis=0), abs=0.5)
    assert places.max(axis=0) == pytest.approx(drawn.max(axis=0), abs=0.5)


def test_colours_turn_with_the_order_of_channels() -> None:
    images = [np.zeros((20, 20, 4), np.uint8) for _ in range(2)]
    for image, red in zip(images, (0, 2), strict=True):
        raster.paint(image, [Rect(0.0, 0.0, 20.0, 20.0, "one")], PALETTE, red=red)
    assert np.array_equal(images[0][..., :3], images[1][..., 2::-1])
    assert (images[0][5, 5] == (0xD5, 0x5E, 0x00, 255)).all()
