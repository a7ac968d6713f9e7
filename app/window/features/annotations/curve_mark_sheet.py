"""A see-through sheet over the stroke curve: its marks, and the hand that draws them."""

from __future__ import annotations

from typing import Final

from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QMouseEvent, QPainter, QPaintEvent

from app.review.mark_shapes import distance_to, thinned
from app.review.parts.curve_marks import CurveMark, new_curve_mark
from app.review.parts.marks import Point
from app.scene import curve_marks
from app.scene.curve_marks import PALETTE, CurveMarkLook
from app.window.features.annotations.curve_drawing import CurveDrawing
from app.window.features.annotations.pen import CHOOSE
from app.window.features.annotations.pen_sheet import REACH_PX, PenSheet
from app.window.views.curve_view import CurveView
from app.window.views.scene_paint import measure_in, paint

LOOK: Final = CurveMarkLook(line=2.5, casing=5.5, text=13.0, shade=0.25, hatch=9.0)
THIN_PX = 0.8
_HINTS = {
    "line": "Draw the line as it should run",
    "span": "Drag over the stretch to shade",
    CHOOSE: "Click a mark; drag it or one of its handles",
}


class CurveMarkSheet(PenSheet[CurveMark]):
    """Paints the marks of the curve on screen; while drawing on it, the left button is the pen."""

    free_kind = "line"

    def __init__(self, curve: CurveView, drawing: CurveDrawing) -> None:
        super().__init__(curve, drawing, "Marks on the curve", "Words on the curve")
        self._curve = curve
        self._pen: CurveDrawing = drawing
        curve.scaled.connect(self.update)
        drawing.words_wanted.connect(self._begin_words)

    def paintEvent(self, event: QPaintEvent) -> None:
        """Paint the marks, and the one being drawn."""
        painter = QPainter(self)
        plot, growing = self._curve.plot, self._growing()
        painter.setClipRect(self._curve.area.adjusted(-8, -8, 8, 8))
        marks = [*self._pen.shown, *([growing] if growing is not None else [])]
        paint(painter, curve_marks.stretches(marks, plot, LOOK), PALETTE)
        paint(painter, curve_marks.lines(marks, plot, LOOK), PALETTE)
        self._paint_handles(painter, self._place_of)
        words = curve_marks.words(marks, plot, LOOK, measure_in(painter.font()))
        paint(painter, words, PALETTE)

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        """Keep the mouse from the handles of the target below."""
        super().mouseMoveEvent(event)
        event.accept()

    def mouseDoubleClickEvent(self, event: QMouseEvent) -> None:
        """Give the mark under the hand words."""
        mark = self._mark_at(event.position())
        if mark is not None:
            self.give_up()
            self._pen.choose(mark.id)
            self._begin_words()

    def _follow(self) -> None:
        hint = _HINTS[self._pen.tool] if self._pen.is_on and not self._pen.shown else ""
        self._curve.set_hint(hint)
        super()._follow()

    def _growing(self) -> CurveMark | None:
        if not self._points:
            return None
        kind, points = self._pen.tool, self._points
        if kind == "span":
            points = [points[0], points[-1]]
        return new_curve_mark(kind, "time", points, self._pen.colour)

    def _finish(self) -> None:
        points, self._points = self._points, []
        if self._pen.tool == "span":
            self._pen.add("span", ((points[0][0], 0.0), (points[-1][0], 0.0)))
            return
        places = [self._place_of(*p) for p in points]
        kept = thinned([(p.x(), p.y()) for p in places], THIN_PX)
        self._pen.add("line", [self._value_at(QPointF(x, y)) for x, y in kept])

    def _place_of(self, x: float, y: float) -> QPointF:
        return self._curve.place_of(x, y)

    def _value_at(self, position: QPointF) -> Point:
        return self._curve.value_at(position)

    def _points_of(self, mark: CurveMark) -> tuple[Point, ...]:
        return mark.points

    def _has_grips(self, mark: CurveMark) -> bool:
        return self._pen.tool == CHOOSE  # the next stretch may begin where the last one ends

    def _handles(self, mark: CurveMark) -> tuple[Point, ...]:
        if mark.kind != "span":
            return super()._handles(mark)
        middle_n = self._value_at(self._curve.area.center())[1]
        return tuple((percent, middle_n) for percent, _force_n in mark.points)

    def _mark_at(self, place: QPointF) -> CurveMark | None:
        """The mark under the hand, the last drawn first; lines before what is shaded."""
        plot, measure, at = self._curve.plot, measure_in(self.font()), (place.x(), place.y())
        for mark in reversed(self._pen.shown):
            plate = curve_marks.plate_of(mark, plot, LOOK, measure)
            if plate is not None and plate.holds(at):
                return mark
            run = curve_marks.course(mark, plot)
            if mark.kind == "line" and distance_to(at, (run,)) <= REACH_PX:
                return mark
        percent = self._curve.value_at(place)[0]
        for mark in reversed(self._pen.shown):
            if mark.kind == "span" and mark.span_pct[0] <= percent <= mark.span_pct[1]:
                return mark
        return None

    def _begin_words(self) -> None:
        mark = self._pen.selected
        if mark is None:
            return
        area = self._curve.area
        first, last = mark.span_pct
        middle = self._place_of(0.5 * (first + last), 0.0).x()
        width = min(220.0, area.width())
        left = min(max(middle - width / 2, area.left()), area.right() - width)
        self._write_in(QRectF(left, area.top() + 4, width, 28), mark.text)

    def _written(self, text: str) -> None:
        self._pen.reword(text.strip())
