"""A see-through sheet over the picture: the followed body, and the hand that puts it right."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Final

from PySide6.QtCore import QEvent, QObject, QPointF, Qt
from PySide6.QtGui import QMouseEvent, QPainter, QPaintEvent, QTransform
from PySide6.QtWidgets import QWidget

from app.scene.machine_marks import PALETTE as MACHINE_PALETTE
from app.scene.machine_marks import machine_shapes
from app.scene.picture_marks import MarkView
from app.scene.shapes import Point
from app.scene.skeleton import PALETTE, Joint, SkeletonLook, skeleton_shapes
from app.window.features.body.following import Following
from app.window.features.body.frame_on_screen import FrameOnScreen
from app.window.features.body.placing import Placing
from app.window.views.mark_paint import scale_of
from app.window.views.picture import PictureView
from app.window.views.scene_paint import paint

LOOK: Final = SkeletonLook(line=2.5, casing=5.5, dot=4.5, ring=1.2)
TO_HOLD: Final = SkeletonLook(line=2.5, casing=5.5, dot=6.5, ring=1.4)
REACH_PX: Final = 18.0  # how near to a joint a hand must come
STILL_PX: Final = 3.0  # a hand that moved less only clicked


class SkeletonSheet(QWidget):
    """Paints the joints of the frame on screen; takes the mouse while joints are placed.

    Attributes
    ----------
    is_shown : whether the body is to be seen
    """

    def __init__(
        self, picture: PictureView, frame: FrameOnScreen, following: Following, placing: Placing
    ) -> None:
        super().__init__(picture)
        self._picture, self._frame = picture, frame
        self._following, self._placing = following, placing
        self.is_shown = True
        self._held = ""  # the joint under the hand
        self._from: QPointF | None = None
        self._to: Point | None = None
        self.setAccessibleName("The body on the picture")
        self.setAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents)
        picture.installEventFilter(self)
        self.setGeometry(picture.rect())
        following.mode_changed.connect(self._turn)
        placing.mode_changed.connect(self._turn)
        placing.changed.connect(self.update)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Lie over the whole picture."""
        if watched is self._picture and event.type() == QEvent.Type.Resize:
            self.setGeometry(self._picture.rect())
        return super().eventFilter(watched, event)

    def show_body(self, shown: bool) -> None:
        """Let the body be seen, or not."""
        self.is_shown = shown
        self.update()

    def joints(self) -> dict[str, Joint]:
        """The joints as they are painted: one in the hand is where the hand is."""
        found = self._frame.joints()
        if self._held and self._to is not None:
            found[self._held] = replace(
                found.get(self._held, Joint(0.0, 0.0, 0.0)),
                x_px=self._to[0], y_px=self._to[1], sd_px=0.0, by_hand=True,
            )  # fmt: skip
        return found

    def paintEvent(self, event: QPaintEvent) -> None:
        """Paint the skeleton of the frame on screen."""
        placing = self._placing.is_on
        if not (self.is_shown or placing) or not self._picture.shows_footage:
            return
        joints = self.joints()
        if joints:
            view, look = _view(self._picture.video_transform()), TO_HOLD if placing else LOOK
            asked = self._placing.asked if placing else ()
            paint(QPainter(self), skeleton_shapes(joints, view, look, asked), PALETTE)
        machine = self._frame.machine() if placing else {}
        if machine:
            view = _view(self._picture.video_transform())
            letter = float(self.fontInfo().pixelSize())
            paint(QPainter(self), machine_shapes(machine, view, LOOK, letter), MACHINE_PALETTE)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """Take hold of a joint, or begin a click; the right button takes a placed one back."""
        if event.button() == Qt.MouseButton.RightButton and self._placing.is_on:
            event.accept()
            point = self._placed_at(event.position())
            if point:
                self._placing.take_back(point)
            return
        if not self._is_mine(event):
            return
        self._from = event.position()
        if self._placing.is_on and not self._placing.wanted:
            self._held = self._joint_at(event.position())
        self.update()

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        """Carry the joint that is held."""
        if self._from is None:
            event.ignore()
            return
        if self._held and _apart(event.position(), self._from) >= STILL_PX:
            self._to = self._picture.to_video(event.position())
            self.update()

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        """Let go: the joint is there now, or something was clicked."""
        if not self._is_mine(event) or self._from is None:
            return
        held, to, begun = self._held, self._to, self._from
        self.give_up()
        at = self._picture.to_video(event.position())
        if self._following.is_asking:
            self._following.point_at(*at)
        elif self._placing.wanted:  # also beside a joint: a hand holds the handle
            if _apart(event.position(), begun) < STILL_PX:
                self._placing.place_wanted(*at)
        elif held and to is not None:
            self._placing.place(held, *at)
        elif held:  # a click says that it is right where it is shown
            joint = self._frame.joints()[held]
            self._placing.place(held, joint.x_px, joint.y_px)
        elif _apart(event.position(), begun) < STILL_PX:
            self._placing.place_missing(*at)

    def give_up(self) -> bool:
        """Let the joint in the hand go back; says whether there was one."""
        had = bool(self._held)
        self._held, self._from, self._to = "", None, None
        self.update()
        return had

    def _turn(self, _on: bool) -> None:
        """Take the mouse, or let it through."""
        on = self._following.is_asking or self._placing.is_on
        self.give_up()
        self.setAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents, not on)
        self.setCursor(Qt.CursorShape.CrossCursor if on else Qt.CursorShape.ArrowCursor)
        if on:
            self.raise_()  # over what else lies on the picture

    def _is_mine(self, event: QMouseEvent) -> bool:
        """The middle button still moves the picture under the sheet."""
        mine = event.button() == Qt.MouseButton.LeftButton
        event.setAccepted(mine)
        return mine

    def _placed_at(self, position: QPointF) -> str:
        """The placed point nearest to the mouse; "" where none is within reach."""
        place = self._picture.video_transform()
        placed = self._frame.placed().items()
        far = {n: _apart(place.map(QPointF(c.x_px, c.y_px)), position) for n, c in placed}
        nearest = min(far, key=far.__getitem__, default="")
        return nearest if nearest and far[nearest] <= REACH_PX else ""

    def _joint_at(self, position: QPointF) -> str:
        place = self._picture.video_transform()
        far = {
            name: _apart(place.map(QPointF(*joint.at)), position)
            for name, joint in self._frame.joints().items()
        }
        nearest = min(far, key=far.__getitem__, default="")
        return nearest if nearest and far[nearest] <= REACH_PX else ""


def _view(place: QTransform) -> MarkView:
    def placed(point: Point) -> Point:
        at = place.map(QPointF(*point))
        return at.x(), at.y()

    return MarkView(placed, scale_of(place), place.determinant() < 0)


def _apart(a: QPointF, b: QPointF) -> float:
    return math.hypot(a.x() - b.x(), a.y() - b.y())
