"""The trace shows where sections begin, and nothing of a piece that is one."""

from __future__ import annotations

from PySide6.QtCore import QRectF
from PySide6.QtGui import QImage, QPainter
from pytestqt.qtbot import QtBot

from analysis.sections.section import Section
from app.window.views.section_lines import paint_sections

EASY = Section(0, 9, 10, 10.0, 110.0, 20.0, 300.0, name="10 easy")
HARD = Section(10, 19, 10, 110.0, 190.0, 28.0, 420.0, name="10 hard")


def painted(*sections: Section) -> QImage:
    image = QImage(200, 60, QImage.Format.Format_RGB32)
    image.fill(0)
    painter = QPainter(image)
    paint_sections(painter, sections, lambda second: second, QRectF(0.0, 0.0, 200.0, 60.0))
    painter.end()
    return image


def column(image: QImage, x: int) -> int:
    return sum(image.pixelColor(x, y).value() > 0 for y in range(image.height()))


def test_each_section_begins_with_a_line_and_has_its_name(qtbot: QtBot) -> None:
    image = painted(EASY, HARD)
    for x in (10, 110):
        assert max(column(image, x - 1), column(image, x)) > 15
    assert column(image, 150) < 15
    named = sum(column(image, x) > 0 for x in range(116, 180))
    assert named > 10


def test_one_section_is_nothing_to_show(qtbot: QtBot) -> None:
    assert sum(column(painted(EASY), x) for x in range(200)) == 0
