"""The footage: the largest thing on the bench."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import (
    QColor,
    QImage,
    QPainter,
    QPaintEvent,
    QResizeEvent,
    QTransform,
    QWheelEvent,
)
from PySide6.QtWidgets import QSizePolicy, QWidget

from app.review.state import PictureTurn
from app.window import theme

if TYPE_CHECKING:
    from app.media.server import ShownFrame

NOTCH = 120  # what one click of a mouse wheel reports


class PictureView(QWidget):
    """Paints the frame it was given, turned and mirrored as the review says."""

    stepped = Signal(int)  # frames, from the wheel
    size_wanted = Signal(QSize)  # device pixels to decode for

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAttribute(Qt.WidgetAttribute.WA_OpaquePaintEvent)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self.setMinimumSize(320, 180)
        self.setAccessibleName("Footage")
        self._frame: ShownFrame | None = None
        self._image: QImage | None = None
        self._turn = PictureTurn()
        self._words = ""
        self._wheel = 0

    @property
    def frame(self) -> ShownFrame | None:
        """The frame on screen."""
        return self._frame

    def show_frame(self, frame: ShownFrame | None) -> None:
        """Show a frame, or nothing where there is no footage."""
        if frame is None and self._frame is None:
            return
        self._frame = frame
        if frame is None:
            self._image = None
        else:
            height, width = frame.image_bgra.shape[:2]
            # The image borrows the array's memory; `_frame` keeps it alive.
            self._image = QImage(
                frame.image_bgra.data, width, height, 4 * width, QImage.Format.Format_RGB32
            )
        self.update()

    def set_turn(self, turn: PictureTurn) -> None:
        """Turn or mirror the picture."""
        if turn != self._turn:
            self._turn = turn
            self._want_size()
            self.update()

    def set_words(self, words: str) -> None:
        """What to say where there is no picture."""
        self._words = words
        self.update()

    def picture_rect(self) -> QRectF:
        """Where the picture stands in the widget, in widget pixels."""
        if self._image is None:
            return QRectF(self.rect())
        size = self._image.size()
        if self._turn.quarter_turns % 2:
            size = size.transposed()
        fit = size.scaled(self.size(), Qt.AspectRatioMode.KeepAspectRatio)
        return QRectF(
            (self.width() - fit.width()) / 2,
            (self.height() - fit.height()) / 2,
            fit.width(),
            fit.height(),
        )

    def paintEvent(self, event: QPaintEvent) -> None:
        """Paint the frame at its place, or the words."""
        painter = QPainter(self)
        painter.fillRect(self.rect(), QColor(theme.FLOOR))
        if self._image is None:
            painter.setPen(QColor(theme.QUIET))
            painter.drawText(
                self.rect(), Qt.AlignmentFlag.AlignCenter | Qt.TextFlag.TextWordWrap, self._words
            )
            return
        painter.setRenderHint(QPainter.RenderHint.SmoothPixmapTransform)
        painter.setTransform(self._transform())
        painter.drawImage(QPointF(0, 0), self._image)

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Ask for frames of the new size."""
        self._want_size()

    def wheelEvent(self, event: QWheelEvent) -> None:
        """One notch of the wheel is one frame."""
        self._wheel += event.angleDelta().y()
        notches = int(self._wheel / NOTCH)  # towards zero: a half turn back is no step yet
        self._wheel -= notches * NOTCH
        if notches:
            self.stepped.emit(-notches)
        event.accept()

    def _transform(self) -> QTransform:
        """From image pixels to widget pixels."""
        image = self._image
        rect = self.picture_rect()
        transform = QTransform()
        if image is None:
            return transform
        turned = self._turn.quarter_turns % 2
        wide = image.height() if turned else image.width()
        transform.translate(rect.center().x(), rect.center().y())
        scale = rect.width() / wide
        transform.scale(-scale if self._turn.mirrored else scale, scale)
        transform.rotate(90.0 * self._turn.quarter_turns)
        transform.translate(-image.width() / 2, -image.height() / 2)
        return transform

    def _want_size(self) -> None:
        size = self.size() * self.devicePixelRatioF()
        self.size_wanted.emit(size.transposed() if self._turn.quarter_turns % 2 else size)
