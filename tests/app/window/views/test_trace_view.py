"""What the trace paints."""

from __future__ import annotations

import pytest
from PySide6.QtCore import QPoint, QPointF
from PySide6.QtGui import QColor

from analysis.sections.section import Section
from app.window.main_window import MainWindow
from app.window.widgets import theme


def test_drives_are_shaded_also_after_the_line_up_changes(loaded: MainWindow) -> None:
    from analysis.clocks.alignment import Alignment, Pair
    from app.review.parts.line_up import SetLineUp

    trace, force = loaded.trace, loaded.session.submission.force
    assert force is not None
    stroke = force.piece.strokes[1]
    for offset_s in (0.0, 0.9):
        loaded.session.do(SetLineUp((Pair(0, 0),), Alignment(offset_s, method="by hand")))
        picture = trace.grab().toImage()
        top = round(trace._overlay.area.top()) + 30
        inside = offset_s + stroke.catch_s + 0.06
        outside = offset_s + stroke.catch_s - 0.25
        at = [QPoint(round(trace.x_of(t)), top) for t in (inside, outside)]
        assert picture.pixelColor(at[0]) == QColor(theme.RAISED)
        assert picture.pixelColor(at[1]) == QColor(theme.FLOOR)


def test_the_names_of_sections_stand_over_the_peaks(loaded: MainWindow) -> None:
    trace, force = loaded.trace, loaded.session.submission.force
    assert force is not None
    peak_n = float(force.piece.trace.force_n.max())
    half = force.piece.strokes[2].catch_s
    whole = Section(0, 1, 2, 0.0, half, 20.0, 300.0, name="easy")
    second = Section(2, 3, 2, half, half + 4.0, 20.0, 300.0, name="hard")

    def room_px() -> float:
        top = trace._box.mapViewToScene(QPointF(0.0, peak_n)).y()
        return float(top - trace._overlay.area.top())

    before = room_px()
    trace.set_sections((whole, second))
    name_px = trace.fontMetrics().height()
    assert room_px() >= name_px > before
    trace.resize(trace.width(), trace.height() + 80)
    loaded.repaint()
    assert room_px() >= name_px
    trace.set_sections(())
    assert room_px() == pytest.approx(before, abs=10)
