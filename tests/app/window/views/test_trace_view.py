"""What the trace paints."""

from __future__ import annotations

from PySide6.QtCore import QPoint
from PySide6.QtGui import QColor

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
