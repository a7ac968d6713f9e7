"""A see-through sheet over a view, on which a pen works: what all of them have in common."""

from __future__ import annotations

import math
from abc import abstractmethod
from collections.abc import Callable
from dataclasses import dataclass
from typing import Generic

from PySide6.QtCore import QEvent, QObject, QPointF, QRectF, Qt
from PySide6.QtGui import QKeyEvent, QMouseEvent, QPainter
from PySide6.QtWidgets import QLineEdit, QWidget

from app.review.freehand import bent, grips
from app.review.parts.marks import Point
from app.window.features.annotations.pen import CHOOSE, M, MarkPen, Pen
from app.window.views.mark_paint import paint_handles

REACH_PX = 10.0  # how near a hand must come
STILL_PX = 4.0  # a hand that moved less only clicked


class Sheet(QWidget):
    """Lies over the whole of a view; takes the mouse while its pen is out."""

    def __init__(self, under: QWidget, pen: Pen, name: str) -> None:
        super().__init__(under)
        self._under = under
        self._pen = pen
        self.setAccessibleName(name)
        under.installEventFilter(self)
        pen.changed.connect(self._follow)
        pen.mode_changed.connect(self._turn)
        self.setAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Lie over the whole view."""
        if watched is self._under and event.type() == QEvent.Type.Resize:
            self.setGeometry(self._under.rect())
        return super().eventFilter(watched, event)

    def _turn(self, on: bool) -> None:
        """Take the mouse, or let it through."""
        self.setAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents, not on)
        self.update()

    def _follow(self) -> None:
        """Show what the pen has come to."""
        self.update()

    def _is_stroke(self, event: QMouseEvent) -> bool:
        """Whether the pen takes it; the middle button still moves what lies under the sheet."""
        mine = event.button() == Qt.MouseButton.LeftButton and self._pen.is_on
        event.setAccepted(mine)
        return mine


@dataclass(frozen=True)
class Hold:
    """A mark under the hand.

    Attributes
    ----------
    points : the mark's, when it was taken hold of
    grip : which of its handles; None for all of it
    at, to : where the hand took hold, and where it is now
    """

    points: tuple[Point, ...]
    grip: int | None
    at: Point
    to: Point

    @property
    def way(self) -> Point:
        """How far the hand went."""
        return self.to[0] - self.at[0], self.to[1] - self.at[1]


class PenSheet(Sheet, Generic[M]):
    """Draws marks, moves and bends them, writes their words.

    Places are the view's own: `_place_of` and `_value_at` turn them into widget pixels and back.
    """

    free_kind = "freehand"  # the kind of mark that follows the hand

    _pen: MarkPen[M]

    def __init__(self, under: QWidget, pen: MarkPen[M], name: str, words: str) -> None:
        super().__init__(under, pen, name)
        self._points: list[Point] = []  # of the mark being drawn
        self._hold: Hold | None = None
        self._words = QLineEdit(self)
        self._words.setAccessibleName(words)
        self._words.setPlaceholderText("Words; Return when done")
        self._words.hide()
        self._words.installEventFilter(self)
        self._words.editingFinished.connect(self._end_words)
        self._words_before = ""
        self.setMouseTracking(True)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Escape in the words leaves them as they were."""
        if (
            watched is self._words
            and isinstance(event, QKeyEvent)
            and event.key() == Qt.Key.Key_Escape
        ):
            if event.type() == QEvent.Type.KeyPress:
                self._words.setText(self._words_before)
                self._words.clearFocus()
            event.accept()
            return True
        return super().eventFilter(watched, event)

    def event(self, event: QEvent) -> bool:
        """Delete takes the selected mark while drawing, not the note beside the view."""
        if (
            isinstance(event, QKeyEvent)
            and event.key() == Qt.Key.Key_Delete
            and self._pen.selected is not None
        ):
            if event.type() == QEvent.Type.ShortcutOverride:
                event.accept()
                return True
            if event.type() == QEvent.Type.KeyPress:
                self._pen.delete()
                return True
        return super().event(event)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """Begin a mark, set its next point, or take hold of one."""
        if not self._is_stroke(event):
            return
        if self._words.isVisible():  # the first click elsewhere ends the writing
            self._words.clearFocus()
            return
        self._press(event.position())
        self.update()

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        """Draw on, or carry what is held."""
        at = self._value_at(event.position())
        if self._hold is not None:
            self._hold = hold = Hold(self._hold.points, self._hold.grip, self._hold.at, at)
            self._carry(hold)
        elif self._points and self._pen.tool == self.free_kind:
            self._points.append(at)
        elif self._points:
            self._points[-1] = at
        else:
            event.ignore()
            return
        self.update()

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        """End a mark, or let go; a click draws nothing, but may choose."""
        if not self._is_stroke(event):
            return
        self._hold = None
        if self._points and self._moved():
            self._finish()
        elif self._points and not self._goes_on():
            self._points = []
            self._choose_at(event.position())
        self.update()

    def give_up(self) -> bool:
        """Drop a mark that is half drawn; says whether there was one."""
        had = bool(self._points)
        self._points, self._hold = [], None
        self.update()
        return had

    def _turn(self, on: bool) -> None:
        super()._turn(on)
        self.setFocusPolicy(Qt.FocusPolicy.ClickFocus if on else Qt.FocusPolicy.NoFocus)
        if on:
            self.setFocus(Qt.FocusReason.OtherFocusReason)
        else:
            self.give_up()
            self._words.clearFocus()

    def _follow(self) -> None:
        drawing = self._pen.is_on and self._pen.tool != CHOOSE
        self.setCursor(Qt.CursorShape.CrossCursor if drawing else Qt.CursorShape.ArrowCursor)
        super()._follow()

    def _press(self, position: QPointF) -> None:
        at = self._value_at(position)
        if not self._take_hold(position, at) and self._pen.tool != CHOOSE:
            self._points = [at, at]

    def _take_hold(self, position: QPointF, at: Point) -> bool:
        """Hold a handle of the selected mark; with the choosing tool any mark."""
        chosen = self._pen.selected
        if chosen is not None and chosen in self._pen.shown and self._has_grips(chosen):
            places = [self._place_of(*handle) for handle in self._handles(chosen)]
            for i, place in enumerate(places):
                if apart(place, position) <= REACH_PX:
                    return self._begin_hold(chosen, i, at)
        if self._pen.tool != CHOOSE:
            return False
        mark = self._choose_at(position)
        return mark is not None and self._begin_hold(mark, None, at)

    def _begin_hold(self, mark: M, grip: int | None, at: Point) -> bool:
        self._hold = Hold(self._points_of(mark), grip, at, at)
        self._pen.begin_drag()
        return True

    def _choose_at(self, position: QPointF) -> M | None:
        mark = self._mark_at(position)
        self._pen.choose(mark.id if mark is not None else "")
        return mark

    def _carry(self, hold: Hold) -> None:
        """Put what is held where the hand is."""
        mark = self._pen.selected
        if mark is None:
            return
        dx, dy = hold.way
        if hold.grip is not None and mark.kind == self.free_kind and (dx or dy):
            seen = [_pair(self._place_of(*p)) for p in hold.points]
            dx, dy = _pair(self._place_of(*hold.to) - self._place_of(*hold.at))
            pulled = bent(seen, hold.grip, dx, dy)
            self._pen.move(tuple(self._value_at(QPointF(*p)) for p in pulled), hold.grip)
            return
        self._pen.move(
            tuple(
                (x + dx, y + dy) if hold.grip in (None, i) else (x, y)
                for i, (x, y) in enumerate(hold.points)
            ),
            hold.grip,
        )

    def _handles(self, mark: M) -> tuple[Point, ...]:
        """Where a mark is taken hold of; a freehand line all along, and anywhere by choosing it."""
        if mark.kind != self.free_kind:
            return self._points_of(mark)
        seen = grips([_pair(self._place_of(*p)) for p in self._points_of(mark)])
        return tuple(self._value_at(QPointF(*p)) for p in seen)

    def _has_grips(self, mark: M) -> bool:
        """Whether its handles are taken hold of; a pen draws on across a freehand line."""
        return self._pen.tool == CHOOSE or mark.kind != self.free_kind

    def _paint_handles(self, painter: QPainter, place: Callable[[float, float], QPointF]) -> None:
        """Show what the selected mark is held by; its ends only, where the pen draws on."""
        mark, hold = self._pen.selected, self._hold
        if not self._pen.is_on or mark is None or mark not in self._pen.shown:
            return
        handles, to_hold = self._handles(mark), self._has_grips(mark)
        if not to_hold:
            handles = handles[:: max(len(handles) - 1, 1)]
        elif hold is not None and hold.grip is not None and mark.kind == self.free_kind:
            handles = (hold.to,)  # the others move along as the line grows
        paint_handles(painter, [place(*h) for h in handles], to_hold)

    def _moved(self) -> bool:
        """Whether the hand went anywhere since the last point."""
        there = [self._place_of(*p) for p in self._points]
        before = there[:1] if self._pen.tool == self.free_kind else there[-2:-1]
        return any(apart(a, b) >= STILL_PX for a in before for b in there)

    def _goes_on(self) -> bool:
        """Whether a click is a point of the mark being drawn."""
        return False

    def _write_in(self, box: QRectF, words: str) -> None:
        """Let the coach type in a box of the sheet."""
        self._words_before = words
        self._words.setGeometry(box.toRect())
        self._words.setText(words)
        self._words.show()
        self._words.setFocus(Qt.FocusReason.OtherFocusReason)

    def _end_words(self) -> None:
        if not self._words.isVisible():
            return  # hiding it ends the editing once more
        text = self._words.text()
        self._words.hide()
        self._written(text)
        if self._pen.is_on:
            self.setFocus(Qt.FocusReason.OtherFocusReason)

    @abstractmethod
    def _place_of(self, x: float, y: float) -> QPointF: ...

    @abstractmethod
    def _value_at(self, position: QPointF) -> Point: ...

    @abstractmethod
    def _points_of(self, mark: M) -> tuple[Point, ...]: ...

    @abstractmethod
    def _mark_at(self, position: QPointF) -> M | None: ...

    @abstractmethod
    def _finish(self) -> None: ...

    @abstractmethod
    def _written(self, text: str) -> None: ...


def apart(a: QPointF, b: QPointF) -> float:
    """How far two places of a widget lie from each other, pixels."""
    return math.hypot(a.x() - b.x(), a.y() - b.y())


def _pair(point: QPointF) -> Point:
    return point.x(), point.y()
