"""A see-through sheet over the picture: shows the marks, and takes the hand that draws them."""

from __future__ import annotations

import math
from dataclasses import dataclass

from PySide6.QtCore import QEvent, QObject, QPointF, QRect, QRectF, Qt
from PySide6.QtGui import QKeyEvent, QMouseEvent, QPainter, QPainterPath, QPaintEvent, QTransform
from PySide6.QtWidgets import QLineEdit, QWidget

from app.review.marks import Mark, Point, distance_to, straightened, thinned
from app.window.drawing.drawing import CHOOSE, Drawing
from app.window.drawing.mark_paint import (
    handles_of,
    label_rect,
    paint_mark,
    scale_of,
    screen_shape,
)
from app.window.picture.picture import PictureView

REACH_PX = 10.0  # how near a hand must come
STILL_PX = 4.0  # a hand that moved less only clicked
THIN_PX = 0.7


@dataclass(frozen=True)
class _Hold:
    """A chosen mark under the hand."""

    points: tuple[Point, ...]
    point: int | None  # None: all of it
    from_px: Point


class MarkSheet(QWidget):
    """Paints the marks of the frame on screen; while drawing, the left button is the pen."""

    def __init__(self, picture: PictureView, drawing: Drawing) -> None:
        super().__init__(picture)
        self._picture = picture
        self._drawing = drawing
        self._points: list[Point] = []  # of the mark being drawn
        self._begun_s = 0.0
        self._hold: _Hold | None = None
        self._words = QLineEdit(self)
        self._words.setAccessibleName("Words on the picture")
        self._words.setPlaceholderText("Words; Return when done")
        self._words.hide()
        self._words.installEventFilter(self)
        self._words.editingFinished.connect(self._end_words)
        self._words_at: Point = (0.0, 0.0)
        self.setMouseTracking(True)
        self.setAccessibleName("Marks on the picture")
        picture.installEventFilter(self)
        drawing.changed.connect(self._follow)
        drawing.mode_changed.connect(self._turn)
        self._turn(False)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Lie over the whole picture; Escape in the words drops them."""
        if watched is self._picture and event.type() == QEvent.Type.Resize:
            self.setGeometry(self._picture.rect())
        if (
            watched is self._words
            and isinstance(event, QKeyEvent)
            and event.key() == Qt.Key.Key_Escape
        ):
            if event.type() == QEvent.Type.KeyPress:
                self._words.clear()
                self._words.clearFocus()
            event.accept()
            return True
        return super().eventFilter(watched, event)

    def event(self, event: QEvent) -> bool:
        """Delete takes the mark in hand while drawing, not the note beside the picture."""
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
        scale = self._drawing.metres_per_px
        chosen = self._drawing.in_hand if self._drawing.is_on else None
        for mark in self._drawing.shown:
            paint_mark(painter, mark, scale, place, chosen is not None and mark.id == chosen.id)
        growing = self._growing()
        if growing is not None:
            paint_mark(painter, growing, scale, place)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """Begin a mark, set its next point, or take hold of one."""
        if event.button() != Qt.MouseButton.LeftButton or not self._drawing.is_on:
            event.ignore()  # the middle button still moves the picture
            return
        begun_s = self._drawing.moment()
        if begun_s is None:
            return
        if self._words.isVisible():  # the first click elsewhere ends the writing
            self._words.clearFocus()
            return
        at = self._picture.to_video(event.position())
        if self._points:  # the next point of an angle
            self._points[-1] = at
        elif self._take_hold(event.position(), at):
            pass
        elif self._drawing.tool == "text":
            self._begin_words(at, begun_s)
        elif self._drawing.tool != CHOOSE:
            self._begun_s = begun_s
            self._points = [at, at]
        self.update()

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        """Draw on, or carry what is held."""
        self._picture.carry_lens(event.position())
        at = self._picture.to_video(event.position())
        if self._hold is not None:
            self._carry(self._hold, at)
        elif self._points:
            if self._drawing.tool == "freehand":
                self._points.append(at)
            else:
                self._points[-1] = at
            self.update()
        else:
            event.ignore()

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        """End a mark; an angle goes on to its other arm."""
        if event.button() != Qt.MouseButton.LeftButton or not self._drawing.is_on:
            event.ignore()
            return
        self._hold = None
        if not self._points:
            return
        if not self._moved():
            if self._drawing.tool != "angle":  # a click draws nothing; it may choose
                self._points = []
                self._choose_at(event.position())
        elif self._drawing.tool == "angle" and len(self._points) == 2:
            self._points.append(self._points[-1])
        else:
            self._finish()
        self.update()

    def mouseDoubleClickEvent(self, event: QMouseEvent) -> None:
        """Change the words of a text mark; anything else is two clicks."""
        if event.button() != Qt.MouseButton.LeftButton or not self._drawing.is_on:
            event.ignore()
            return
        mark = self._mark_at(event.position())
        if mark is not None and mark.kind == "text" and not self._points:
            self._reword(mark)
        else:
            self.mousePressEvent(event)

    def give_up(self) -> bool:
        """Drop a mark that is half drawn; says whether there was one."""
        had = bool(self._points)
        self._points, self._hold = [], None
        self.update()
        return had

    def _turn(self, on: bool) -> None:
        self.setAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents, not on)
        self.setFocusPolicy(Qt.FocusPolicy.ClickFocus if on else Qt.FocusPolicy.NoFocus)
        if on:
            self.setFocus(Qt.FocusReason.OtherFocusReason)
        else:
            self.give_up()
            self._words.clearFocus()

    def _follow(self) -> None:
        tool = self._drawing.tool
        self.setCursor(Qt.CursorShape.ArrowCursor if tool == CHOOSE else Qt.CursorShape.CrossCursor)
        if len(self._points) == 3 and tool != "angle":
            self.give_up()
        self.update()

    def _growing(self) -> Mark | None:
        """The mark under the pen, as it would be kept now."""
        if len(self._points) < 2:
            return None
        kind = self._drawing.tool
        if kind == "angle" and len(self._points) == 2:
            kind = "line"
        points = straightened(kind, tuple(self._points), self._drawing.quarter_turns)
        return Mark("", kind, points, self._drawing.colour)

    def _finish(self) -> None:
        mark = self._growing()
        self._points = []
        if mark is not None:
            points = mark.points_px
            if mark.kind == "freehand":
                points = thinned(points, THIN_PX / scale_of(self._picture.video_transform()))
            self._drawing.add(mark.kind, points, self._begun_s)

    def _moved(self) -> bool:
        """Whether the hand went anywhere since the last point."""
        place = self._picture.video_transform()
        there = [place.map(QPointF(*p)) for p in self._points]
        before = there[:1] if self._drawing.tool == "freehand" else there[-2:-1]
        return any(_apart(a, b) >= STILL_PX for a in before for b in there)

    def _take_hold(self, position: QPointF, at: Point) -> bool:
        """Hold a point of the mark in hand; with the choosing tool any mark."""
        place = self._picture.video_transform()
        chosen = self._drawing.in_hand
        if chosen is not None and chosen in self._drawing.shown:
            for i, point in enumerate(handles_of(chosen)):
                if _apart(place.map(QPointF(*point)), position) <= REACH_PX:
                    self._hold = _Hold(chosen.points_px, i, at)
                    self._drawing.begin_drag()
                    return True
        if self._drawing.tool != CHOOSE:
            return False
        mark = self._choose_at(position)
        if mark is not None:
            self._hold = _Hold(mark.points_px, None, at)
            self._drawing.begin_drag()
        return True

    def _carry(self, hold: _Hold, at: Point) -> None:
        if hold.point is not None:
            points = (*hold.points[: hold.point], at, *hold.points[hold.point + 1 :])
            self._drawing.move(points, hold.point)
            return
        dx, dy = at[0] - hold.from_px[0], at[1] - hold.from_px[1]
        self._drawing.move(tuple((x + dx, y + dy) for x, y in hold.points))

    def _choose_at(self, position: QPointF) -> Mark | None:
        mark = self._mark_at(position)
        self._drawing.choose(mark.id if mark is not None else "")
        return mark

    def _mark_at(self, position: QPointF) -> Mark | None:
        """The mark under the hand, the last drawn first."""
        place, scale = self._picture.video_transform(), self._drawing.metres_per_px
        at = self._picture.to_video(position)
        reach = REACH_PX / scale_of(place)
        for mark in reversed(self._drawing.shown):
            shape = screen_shape(mark, scale, place)
            if distance_to(at, shape.runs) <= reach:
                return mark
            if shape.label and label_rect(self.font(), shape, place).contains(position):
                return mark
        return None

    def _begin_words(self, at: Point, begun_s: float) -> None:
        self._drawing.choose("")
        self._begun_s = begun_s
        self._write_at(at, "")

    def _reword(self, mark: Mark) -> None:
        self._hold = None
        self._drawing.choose(mark.id)
        self._write_at(mark.points_px[0], mark.text)

    def _write_at(self, at: Point, words: str) -> None:
        self._words_at = at
        where = self._picture.video_transform().map(QPointF(*at))
        box = QRectF(where.x() + 8, where.y() - 15, 260, 30)
        box.moveRight(min(box.right(), self.width() - 4.0))
        box.moveLeft(max(box.left(), 4.0))
        self._words.setGeometry(box.toRect() if box.isValid() else QRect(4, 4, 260, 30))
        self._words.setText(words)
        self._words.show()
        self._words.setFocus(Qt.FocusReason.OtherFocusReason)

    def _end_words(self) -> None:
        if not self._words.isVisible():
            return  # hiding it ends the editing once more
        text = self._words.text()
        self._words.hide()
        if self._drawing.in_hand is not None:
            if text.strip():
                self._drawing.reword(text)
        elif text.strip():
            self._drawing.add("text", (self._words_at,), self._begun_s, text)
        if self._drawing.is_on:
            self.setFocus(Qt.FocusReason.OtherFocusReason)


def _apart(a: QPointF, b: QPointF) -> float:
    return math.hypot(a.x() - b.x(), a.y() - b.y())
