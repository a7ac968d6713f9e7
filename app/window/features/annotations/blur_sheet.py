"""A see-through sheet over the picture: shows what is hidden, and takes the hand that marks it."""

from __future__ import annotations

from dataclasses import dataclass

from PySide6.QtCore import QPointF, Qt
from PySide6.QtGui import QMouseEvent, QPainter, QPaintEvent

from app.review.parts.blur import BlurKey, BlurRegion, new_region, region_at
from app.window.features.annotations.blur_paint import handle_of, paint_blur_region, ring_path
from app.window.features.annotations.blurring import Blurring
from app.window.features.annotations.pen_sheet import Sheet, apart
from app.window.views.picture import PictureView

REACH_PX = 14.0  # how near to the handle a hand must come
STILL_PX = 6.0  # a hand that moved less only clicked


@dataclass(frozen=True)
class _Hold:
    """A region under the hand: where it was, and whether its size or its place is changed."""

    key: BlurKey
    from_px: tuple[float, float]
    sizes: bool


class BlurSheet(Sheet):
    """Paints the hidden regions of the frame on screen; while marking, the left button marks."""

    def __init__(self, picture: PictureView, blurring: Blurring) -> None:
        super().__init__(picture, blurring, "Blurred faces on the picture")
        self._picture = picture
        self._blurring = blurring
        self._from: tuple[float, float] | None = None  # of the region being drawn
        self._to: tuple[float, float] = (0.0, 0.0)
        self._hold: _Hold | None = None

    def paintEvent(self, event: QPaintEvent) -> None:
        """Paint the rings, and the one being drawn."""
        now_s = self._blurring.moment()
        if not self._picture.shows_footage or now_s is None:
            return
        painter = QPainter(self)
        place = self._picture.video_transform()
        chosen = self._blurring.selected if self._blurring.is_on else None
        for region in self._blurring.regions:
            selected = chosen is not None and region.id == chosen.id
            paint_blur_region(painter, region, now_s, place, selected)
        growing = self._growing(now_s)
        if growing is not None:
            paint_blur_region(painter, growing, now_s, place, False)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """Take hold of a region, or begin a new one."""
        if not self._is_stroke(event):
            return
        at = self._picture.to_video(event.position())
        if not self._take_hold(event.position(), at):
            self._from = self._to = at
        self.update()

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        """Carry what is held, or draw on."""
        at = self._picture.to_video(event.position())
        if self._hold is not None:
            self._carry(self._hold, at)
        elif self._from is not None:
            self._to = at
            self.update()
        else:
            event.ignore()

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        """Let go: what was marked or moved is followed."""
        if not self._is_stroke(event):
            return
        now_s = self._blurring.moment()
        growing = None if now_s is None else self._growing(now_s)
        held, self._hold, self._from = self._hold, None, None
        if held is not None:
            self._blurring.follow()
        elif growing is not None:
            key = growing.keyframes[0]
            self._blurring.mark(key.x_px, key.y_px, key.w_px, key.h_px)
        self.update()

    def _growing(self, now_s: float) -> BlurRegion | None:
        """The region under the hand, corner to corner, as it would be kept now."""
        if self._from is None:
            return None
        (x0, y0), (x1, y1) = self._from, self._to
        place = self._picture.video_transform()
        if apart(place.map(QPointF(x1, y1)), place.map(QPointF(x0, y0))) < STILL_PX:
            return None
        return new_region(now_s, (x0 + x1) / 2, (y0 + y1) / 2, abs(x1 - x0), abs(y1 - y0))

    def _take_hold(self, position: QPointF, at: tuple[float, float]) -> bool:
        now_s = self._blurring.moment()
        if now_s is None:
            return False
        place = self._picture.video_transform()
        chosen = self._blurring.selected
        others = [r for r in reversed(self._blurring.regions) if r is not chosen]
        for region in [r for r in (chosen, *others) if r is not None]:
            key = region_at(region, now_s)
            if key is None:
                continue
            sizes = region is chosen and apart(place.map(handle_of(key)), position) <= REACH_PX
            if sizes or ring_path(key).contains(QPointF(*at)):
                self._blurring.choose(region.id)
                self._blurring.begin_drag()
                self._hold = _Hold(key, at, sizes)
                return True
        return False

    def _carry(self, hold: _Hold, at: tuple[float, float]) -> None:
        key = hold.key
        if hold.sizes:
            # The handle stays under the hand.
            w = abs(at[0] - key.x_px) / 0.3536
            h = abs(at[1] - key.y_px) / 0.3536
            self._blurring.place(key.x_px, key.y_px, w, h)
            return
        dx, dy = at[0] - hold.from_px[0], at[1] - hold.from_px[1]
        self._blurring.place(key.x_px + dx, key.y_px + dy, key.w_px, key.h_px)

    def _turn(self, on: bool) -> None:
        super()._turn(on)
        self._hold, self._from = None, None
        if on:
            self.raise_()  # over the sheet of marks
            self.setCursor(Qt.CursorShape.CrossCursor)
