"""A see-through sheet over the picture: shows the marks, and takes the hand that draws them."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QMouseEvent, QPainter, QPainterPath, QPaintEvent, QTransform

from app.review.mark_shapes import straightened, thinned
from app.review.parts.marks import Mark, Point
from app.window.features.annotations.drawing import Drawing
from app.window.features.annotations.pen_sheet import REACH_PX, PenSheet
from app.window.views.mark_paint import is_at, paint_mark, scale_of
from app.window.views.picture import PictureView

THIN_PX = 0.7


class MarkSheet(PenSheet[Mark]):
    """Paints the marks of the frame on screen; while drawing, the left button is the pen."""

    def __init__(self, picture: PictureView, drawing: Drawing) -> None:
        super().__init__(picture, drawing, "Marks on the picture", "Words on the picture")
        self._picture = picture
        self._pen: Drawing = drawing
        self._begun_s = 0.0
        self._words_at: Point = (0.0, 0.0)

    def paintEvent(self, event: QPaintEvent) -> None:
        """Paint the marks, and the one being drawn."""
        if not self._picture.shows_footage:
            return
        painter = QPainter(self)
        place = self._picture.video_transform()
        lens = self._picture.lens()
        if lens is None:
            self._paint_marks(painter, place)
            return
        circle, grown = lens
        rest = QPainterPath()
        rest.addRect(QRectF(self.rect()))
        painter.setClipPath(rest.subtracted(circle))
        self._paint_marks(painter, place)
        painter.setClipPath(circle)  # under the glass a mark stands on what it was drawn on
        self._paint_marks(painter, place * grown)

    def _paint_marks(self, painter: QPainter, place: QTransform) -> None:
        scale = self._pen.metres_per_px
        for mark in self._pen.shown:
            paint_mark(painter, mark, scale, place)
        growing = self._growing()
        if growing is not None:
            paint_mark(painter, growing, scale, place)
        self._paint_handles(painter, lambda x, y: place.map(QPointF(x, y)))

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        """Carry the glass along as well."""
        self._picture.carry_lens(event.position())
        super().mouseMoveEvent(event)

    def mouseDoubleClickEvent(self, event: QMouseEvent) -> None:
        """Change the words of a text mark; anything else is two clicks."""
        if not self._is_stroke(event):
            return
        mark = self._mark_at(event.position())
        if mark is not None and mark.kind == "text" and not self._points:
            self._hold = None
            self._pen.choose(mark.id)
            self._write_at(mark.points_px[0], mark.text)
        else:
            self.mousePressEvent(event)

    def _follow(self) -> None:
        if len(self._points) == 3 and self._pen.tool != "angle":
            self.give_up()
        super()._follow()

    def _press(self, position: QPointF) -> None:
        begun_s = self._pen.moment()
        if begun_s is None:
            return
        at = self._value_at(position)
        if self._points:  # the next point of an angle
            self._points[-1] = at
            return
        self._begun_s = begun_s
        if self._pen.tool != "text":
            super()._press(position)
        elif not self._take_hold(position, at):
            self._pen.choose("")
            self._write_at(at, "")

    def _growing(self) -> Mark | None:
        """The mark under the pen, as it would be kept now."""
        if len(self._points) < 2:
            return None
        kind = self._pen.tool
        if kind == "angle" and len(self._points) == 2:
            kind = "line"
        points = straightened(kind, tuple(self._points), self._pen.quarter_turns)
        return Mark("", kind, points, self._pen.colour)

    def _finish(self) -> None:
        if self._pen.tool == "angle" and len(self._points) == 2:  # on to its other arm
            self._points.append(self._points[-1])
            return
        mark = self._growing()
        self._points = []
        if mark is not None:
            points = mark.points_px
            if mark.kind == "freehand":
                points = thinned(points, THIN_PX / scale_of(self._picture.video_transform()))
            self._pen.add(mark.kind, points, self._begun_s)

    def _goes_on(self) -> bool:
        return self._pen.tool == "angle"

    def _place_of(self, x: float, y: float) -> QPointF:
        return self._picture.video_transform().map(QPointF(x, y))

    def _value_at(self, position: QPointF) -> Point:
        return self._picture.to_video(position)

    def _points_of(self, mark: Mark) -> tuple[Point, ...]:
        return mark.points_px

    def _handles(self, mark: Mark) -> tuple[Point, ...]:
        return () if mark.kind == "text" else super()._handles(mark)

    def _mark_at(self, position: QPointF) -> Mark | None:
        """The mark under the hand, the last drawn first."""
        place, scale = self._picture.video_transform(), self._pen.metres_per_px
        for mark in reversed(self._pen.shown):
            if is_at(mark, scale, place, self.font(), position, REACH_PX):
                return mark
        return None

    def _write_at(self, at: Point, words: str) -> None:
        self._words_at = at
        where = self._place_of(*at)
        box = QRectF(where.x() + 8, where.y() - 15, 260, 30)
        box.moveRight(min(box.right(), self.width() - 4.0))
        box.moveLeft(max(box.left(), 4.0))
        self._write_in(box, words)

    def _written(self, text: str) -> None:
        if not text.strip():
            return
        if self._pen.selected is not None:
            self._pen.reword(text)
        else:
            self._pen.add("text", (self._words_at,), self._begun_s, text)
