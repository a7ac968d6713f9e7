"""The second picture, laid so that the places that were named coincide with the first's."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import (
    QColor,
    QImage,
    QMouseEvent,
    QPainter,
    QPaintEvent,
    QResizeEvent,
    QTransform,
    QWheelEvent,
)
from PySide6.QtWidgets import QWidget

from analysis.comparing.picture_fit import PictureFit, shown_fit
from app.window.views.picture import PictureView
from app.window.widgets import theme

if TYPE_CHECKING:
    from app.media.server import ShownFrame

MOST_PX = 4096  # decode no larger than this, however close one looks


class SecondPicture(QWidget):
    """Shows the other recording with the first picture's turn, zoom and place.

    It has no zoom of its own: what a hand does here is done to the first picture, and both follow.
    """

    size_wanted = Signal(QSize)  # device pixels to decode for

    def __init__(self, first: PictureView, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._first = first
        self._frame: ShownFrame | None = None
        self._image: QImage | None = None
        self._pixels: NDArray[np.uint8] | None = None
        self._lift = 0.0
        self._source: QSize | None = None
        self._fit = PictureFit()
        self._words = ""
        self._over = False
        self._opacity = 1.0
        self._laid = QTransform()
        self._draw: Callable[[QPainter], None] | None = None
        self.setAccessibleName("Second picture")
        first.size_wanted.connect(self.follow)

    @property
    def frame(self) -> ShownFrame | None:
        """The frame on screen."""
        return self._frame

    @property
    def source_size(self) -> QSize | None:
        """How large the upright picture is in its recording."""
        return self._source

    @property
    def shows_footage(self) -> bool:
        """Whether there is a picture whose source pixels are known."""
        return self._image is not None and self._source is not None

    def draw_over(self, draw: Callable[[QPainter], None]) -> None:
        """Say who draws on the picture; it is as faint as the picture is."""
        self._draw = draw

    def show_frame(self, frame: ShownFrame | None) -> None:
        """Show a frame, or nothing where the recording shows nothing."""
        self._frame = frame
        self._renew()

    def set_source_size(self, size: QSize | None) -> None:
        """Say how large the upright picture is in its recording."""
        self._source = size
        self.follow()

    def set_fit(self, fit: PictureFit) -> None:
        """Lay it over the first picture."""
        self._fit = fit
        self.follow()

    def set_words(self, words: str) -> None:
        """What to say where there is no picture."""
        self._words = words
        self.update()

    def lie_over(self, over: bool, opacity: float) -> None:
        """Lie faintly over the first picture, or stand on a ground of its own."""
        self._over, self._opacity = over, opacity if over else 1.0
        self.setAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents, over)
        self.follow()
        self.update()

    def renew_light(self) -> None:
        """The first picture was lifted or let down: do the same."""
        if self._first.turn.lift != self._lift:
            self._renew()

    def video_transform(self) -> QTransform:
        """From video pixels of the upright second source to widget pixels."""
        source, first = self._source, self._first.source_size
        if source is None:
            return QTransform()
        if first is None or not self._first.shows_footage:
            return _contained(source, QRectF(self.rect()))
        sizes = [(float(size.width()), float(size.height())) for size in (first, source)]
        fit = shown_fit(self._fit, sizes[0], sizes[1])
        mirror = QTransform(-1, 0, 0, 1, source.width(), 0) if fit.mirrored else QTransform()
        laid = QTransform.fromTranslate(fit.shift_x_px, fit.shift_y_px)
        return mirror * QTransform.fromScale(fit.scale, fit.scale) * laid * self._first_transform()

    def to_video(self, at: QPointF) -> tuple[float, float]:
        """Video pixels of the second source under a place of the widget."""
        place = self.video_transform().inverted()[0].map(at)
        return place.x(), place.y()

    def paintEvent(self, event: QPaintEvent) -> None:
        """Paint the frame at its place, or the words."""
        painter = QPainter(self)
        if not self._over:
            painter.fillRect(self.rect(), QColor(theme.DARK.floor))
        image, source = self._image, self._source
        if image is None or source is None:
            if not self._over:
                painter.setPen(QColor(theme.DARK.quiet))
                room = self.rect().adjusted(12, 12, -12, -12)
                flags = Qt.AlignmentFlag.AlignCenter | Qt.TextFlag.TextWordWrap
                painter.drawText(room, flags, self._words)
            return
        painter.setOpacity(self._opacity)
        painter.setRenderHint(QPainter.RenderHint.SmoothPixmapTransform)
        grown = QTransform.fromScale(
            source.width() / image.width(), source.height() / image.height()
        )
        painter.setTransform(grown * self.video_transform())
        painter.drawImage(QPointF(0, 0), image)
        if self._draw is not None:
            painter.resetTransform()
            self._draw(painter)

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Ask for frames of the new size."""
        self.follow()

    def wheelEvent(self, event: QWheelEvent) -> None:
        """Step or zoom, as over the first picture."""
        self._first.wheelEvent(event)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """Take hold of both pictures."""
        self._first.mousePressEvent(event)

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        """Drag both."""
        self._first.mouseMoveEvent(event)

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        """Let go."""
        self._first.mouseReleaseEvent(event)

    def mouseDoubleClickEvent(self, event: QMouseEvent) -> None:
        """Show the whole picture again."""
        self._first.zoom_to_fit()

    def _first_transform(self) -> QTransform:
        """The first picture's, had it this widget's size; the panes may differ by a pixel."""
        place, first = self._first.video_transform(), self._first
        off = QPointF(self.width() - first.width(), self.height() - first.height()) / 2
        return place * QTransform.fromTranslate(off.x(), off.y())

    def _renew(self) -> None:
        frame = self._frame
        if frame is None:
            self._image = self._pixels = None
        else:
            from app.media.light import lifted

            self._lift = self._first.turn.lift
            self._pixels = lifted(frame.image_bgra, self._lift)
            height, width = self._pixels.shape[:2]
            # The image borrows the array's memory; `_pixels` keeps it alive.
            self._image = QImage(
                self._pixels.data, width, height, 4 * width, QImage.Format.Format_RGB32
            )
        self.update()

    def follow(self, *_size: object) -> None:
        """The first picture is seen another way: lie the same way, as sharp as is seen."""
        place, source = self.video_transform(), self._source
        if source is None or place == self._laid:
            return
        self._laid = place
        seen = abs(place.determinant()) ** 0.5 * self.devicePixelRatioF()
        width, height = seen * source.width(), seen * source.height()
        shrink = min(1.0, MOST_PX / max(width, height, 1.0))
        self.size_wanted.emit(QSize(round(width * shrink), round(height * shrink)))
        self.update()


def _contained(source: QSize, room: QRectF) -> QTransform:
    """The whole picture in the middle of the room."""
    scale = min(room.width() / source.width(), room.height() / source.height())
    off = QPointF(
        room.center().x() - scale * source.width() / 2,
        room.center().y() - scale * source.height() / 2,
    )
    return QTransform.fromScale(scale, scale) * QTransform.fromTranslate(off.x(), off.y())
