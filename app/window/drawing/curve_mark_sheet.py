"""A see-through sheet over the stroke curve: its marks, and the hand that draws them."""

from __future__ import annotations

import math
from dataclasses import dataclass

from PySide6.QtCore import QEvent, QObject, QPointF, QRectF, Qt
from PySide6.QtGui import QFontMetricsF, QKeyEvent, QMouseEvent, QPainter, QPaintEvent
from PySide6.QtWidgets import QLineEdit, QWidget

from app.review.curve_marks import CurveMark, new_curve_mark
from app.review.marks import Point, distance_to, thinned
from app.window.drawing.curve_drawing import CHOOSE, CurveDrawing
from app.window.drawing.curve_mark_paint import (
    curve_handles,
    paint_curve_mark,
    paint_curve_words,
    words_rect,
)
from app.window.force.curve_view import CurveView

REACH_PX = 10.0
STILL_PX = 4.0  # a hand that moved less only clicked
THIN_PX = 0.8
_HINTS = {
    "line": "Draw the line as it should run",
    "span": "Drag over the stretch to shade",
    CHOOSE: "Click a mark; drag it or one of its ends",
}


@dataclass(frozen=True)
class _Hold:
    """A chosen mark under the hand."""

    mark: CurveMark
    point: int | None  # 0 or -1: that end; None: all of it
    at: Point


class CurveMarkSheet(QWidget):
    """Paints the marks of the curve on screen; while drawing on it, the left button is the pen."""

    def __init__(self, curve: CurveView, drawing: CurveDrawing) -> None:
        super().__init__(curve)
        self._curve = curve
        self._drawing = drawing
        self._points: list[Point] = []
        self._hold: _Hold | None = None
        self._words = QLineEdit(self)
        self._words.setAccessibleName("Words on the curve")
        self._words.setPlaceholderText("Words; Return when done")
        self._words.hide()
        self._words.installEventFilter(self)
        self._words.editingFinished.connect(self._end_words)
        self.setMouseTracking(True)
        self.setAccessibleName("Marks on the curve")
        self.setFocusPolicy(Qt.FocusPolicy.ClickFocus)
        curve.installEventFilter(self)
        curve.scaled.connect(self.update)
        drawing.changed.connect(self._follow)
        drawing.mode_changed.connect(self._turn)
        drawing.words_wanted.connect(self._begin_words)
        self._turn(False)

    def give_up(self) -> bool:
        """Drop a mark that is half drawn; False when there is none."""
        half_drawn = bool(self._points)
        self._points = []
        self.update()
        return half_drawn

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Lie over the whole curve; Escape in the words leaves them as they were."""
        if watched is self._curve and event.type() == QEvent.Type.Resize:
            self.setGeometry(self._curve.rect())
        if (
            watched is self._words
            and isinstance(event, QKeyEvent)
            and event.key() == Qt.Key.Key_Escape
        ):
            if event.type() == QEvent.Type.KeyPress:
                mark = self._drawing.in_hand
                self._words.setText(mark.text if mark is not None else "")
                self._words.clearFocus()
            event.accept()
            return True
        return super().eventFilter(watched, event)

    def event(self, event: QEvent) -> bool:
        """Delete takes the mark in hand while drawing on the curve, not the note beside it."""
        if (
            isinstance(event, QKeyEvent)
            and event.key() == Qt.Key.Key_Delete
            and self._drawing.in_hand is not None
        ):
            if event.type() == QEvent.Type.ShortcutOverride:
                event.accept()
                return True
            if event.type() == QEvent.Type.KeyPress:
                self._drawing.delete()
                return True
        return super().event(event)

    def paintEvent(self, event: QPaintEvent) -> None:
        """Paint the marks, and the one being drawn."""
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        area = self._curve.area
        chosen = self._drawing.in_hand if self._drawing.is_on else None
        painter.setClipRect(area.adjusted(-8, -8, 8, 8))
        for mark in self._drawing.shown:
            held = chosen is not None and mark.id == chosen.id
            paint_curve_mark(painter, mark, self._curve.place_of, area, held)
        growing = self._growing()
        if growing is not None:
            paint_curve_mark(painter, growing, self._curve.place_of, area)
        for mark in self._drawing.shown:
            paint_curve_words(painter, mark, self._curve.place_of, area)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """Begin a mark, or take hold of one."""
        if event.button() != Qt.MouseButton.LeftButton:
            event.ignore()
            return
        if self._words.isVisible():  # the first click elsewhere ends the writing
            self._words.clearFocus()
            return
        place = event.position()
        if self._drawing.tool == CHOOSE:
            self._take_hold(place)
        else:
            at = self._curve.value_at(place)
            self._points = [at, at]
        self.update()

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        """Draw on, or carry what is held."""
        at = self._curve.value_at(event.position())
        if self._hold is not None:
            self._carry(self._hold, at)
        elif self._points:
            if self._drawing.tool == "line":
                self._points.append(at)
            else:
                self._points[-1] = at
            self.update()

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        """End a mark, or let go."""
        self._hold = None
        points, self._points = self._points, []
        if not points or self._drawing.tool == CHOOSE:
            return
        places = [self._curve.place_of(*p) for p in points]
        if max(_apart(places[0], p) for p in places) < STILL_PX:
            self.update()
            return
        if self._drawing.tool == "span":
            self._drawing.add("span", ((points[0][0], 0.0), (points[-1][0], 0.0)))
            return
        pixels = [(p.x(), p.y()) for p in places]
        kept = [self._curve.value_at(QPointF(x, y)) for x, y in thinned(pixels, THIN_PX)]
        self._drawing.add("line", kept)

    def mouseDoubleClickEvent(self, event: QMouseEvent) -> None:
        """Give the mark under the hand words."""
        mark = self._mark_at(event.position())
        if mark is not None:
            self._hold = None
            self._points = []
            self._drawing.choose(mark.id)
            self._begin_words()

    def _growing(self) -> CurveMark | None:
        if not self._points or self._drawing.tool == CHOOSE:
            return None
        kind, points = self._drawing.tool, self._points
        if kind == "span":
            points = [points[0], points[-1]]
        return new_curve_mark(kind, "time", points, self._drawing.colour)

    def _take_hold(self, place: QPointF) -> None:
        at = self._curve.value_at(place)
        chosen = self._drawing.in_hand
        if chosen is not None and chosen in self._drawing.shown:
            ends = curve_handles(chosen, self._curve.place_of, self._curve.area)
            for i, end in zip((0, -1), ends, strict=True):
                if _apart(end, place) <= REACH_PX:
                    self._hold = _Hold(chosen, i, at)
        if self._hold is None:
            mark = self._mark_at(place)
            self._drawing.choose("" if mark is None else mark.id)
            if mark is not None:
                self._hold = _Hold(mark, None, at)
        self._drawing.begin_drag()

    def _carry(self, hold: _Hold, at: Point) -> None:
        dx, dy = at[0] - hold.at[0], at[1] - hold.at[1]
        points = hold.mark.points
        if hold.point is None:
            first, last = hold.mark.span_pct
            dx = min(max(dx, -first), 100.0 - last)  # it stays within the drive, and its shape
            dy = max(dy, -min(y for _x, y in points))
            self._drawing.move(tuple((x + dx, y + dy) for x, y in points))
            return
        moved = list(points)
        x, y = points[hold.point]
        moved[hold.point] = (min(max(x + dx, 0.0), 100.0), max(y + dy, 0.0))
        self._drawing.move(tuple(moved))

    def _mark_at(self, place: QPointF) -> CurveMark | None:
        """The mark under the hand, the last drawn first; lines before what is shaded."""
        area, where = self._curve.area, self._curve.place_of
        font = self.font()
        font.setBold(True)
        for mark in reversed(self._drawing.shown):
            if mark.text and words_rect(QFontMetricsF(font), mark, where, area).contains(place):
                return mark
            if mark.kind == "line":
                run = [(p.x(), p.y()) for p in (where(*q) for q in mark.points)]
                if distance_to((place.x(), place.y()), (run,)) <= REACH_PX:
                    return mark
        percent = self._curve.value_at(place)[0]
        for mark in reversed(self._drawing.shown):
            if mark.kind == "span" and mark.span_pct[0] <= percent <= mark.span_pct[1]:
                return mark
        return None

    def _begin_words(self) -> None:
        mark = self._drawing.in_hand
        if mark is None:
            return
        area = self._curve.area
        first, last = mark.span_pct
        middle = self._curve.place_of(0.5 * (first + last), 0.0).x()
        width = min(220.0, area.width())
        left = min(max(middle - width / 2, area.left()), area.right() - width)
        self._words.setGeometry(QRectF(left, area.top() + 4, width, 28).toRect())
        self._words.setText(mark.text)
        self._words.show()
        self._words.setFocus(Qt.FocusReason.OtherFocusReason)

    def _end_words(self) -> None:
        if not self._words.isVisible():
            return  # hiding it ends the editing once more
        text = self._words.text()
        self._words.hide()
        self._drawing.reword(text.strip())
        if self._drawing.is_on:
            self.setFocus(Qt.FocusReason.OtherFocusReason)

    def _turn(self, on: bool) -> None:
        self.setAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents, not on)
        self._points = []
        self._follow()

    def _follow(self) -> None:
        on = self._drawing.is_on
        drawing = on and self._drawing.tool != CHOOSE
        self.setCursor(Qt.CursorShape.CrossCursor if drawing else Qt.CursorShape.ArrowCursor)
        self._curve.set_hint(_HINTS[self._drawing.tool] if on and not self._drawing.shown else "")
        self.update()


def _apart(a: QPointF, b: QPointF) -> float:
    return math.hypot(a.x() - b.x(), a.y() - b.y())
