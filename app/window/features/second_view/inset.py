"""The second view in a corner of the picture, or as wide as half of it."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import QEvent, QObject, QRect, QSize, Qt, Signal
from PySide6.QtGui import (
    QColor,
    QImage,
    QMouseEvent,
    QPainter,
    QPaintEvent,
    QPen,
    QResizeEvent,
    QWheelEvent,
)
from PySide6.QtWidgets import QWidget

from app.window.widgets import theme

if TYPE_CHECKING:
    from app.media.courier import ShownFrame

SMALL: Final = 0.34  # of the picture's width
HALF: Final = 0.5
MARGIN_PX: Final = 8
LEAST_PX: Final = 120
WORDS_PX: Final = 6
WHOLE: Final = 1.0
UNFILMED: Final = "not filmed at this moment"


class Inset(QWidget):
    """Lies over the picture's lower right corner, or over all of it, and keeps there.

    Over all of it the mouse belongs to it: nothing can be drawn on a picture that is not seen.
    """

    size_wanted = Signal(QSize)  # device pixels to decode for

    def __init__(self, over: QWidget, name: str = "Second view") -> None:
        super().__init__(over)
        self._over = over
        self._image: QImage | None = None
        self._pixels: NDArray[np.uint8] | None = None
        self._source = QSize(16, 9)
        self._share = SMALL
        self._words = ""
        self._unfilmed = False
        self.setAccessibleName(name)
        self.setAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents)
        over.installEventFilter(self)
        self.hide()

    @property
    def has_picture(self) -> bool:
        """Whether a frame is on screen."""
        return self._image is not None

    @property
    def share(self) -> float:
        """How wide it is, of the picture's width."""
        return self._share

    def show_frame(self, frame: ShownFrame | None) -> None:
        """Show a frame, or the words where the second camera was not running."""
        self._unfilmed = frame is None
        self.show_pixels(None if frame is None else frame.image_bgra)

    def show_pixels(self, image_bgra: NDArray[np.uint8] | None) -> None:
        """Show a contiguous BGRA picture, or nothing."""
        self._pixels = image_bgra
        self._image = None
        if self._pixels is not None:
            high, wide = self._pixels.shape[:2]
            form = QImage.Format.Format_RGB32
            self._image = QImage(self._pixels.data, wide, high, 4 * wide, form)
        self.update()

    @property
    def words(self) -> str:
        """What stands in its upper left corner."""
        return f"{self._words}: {UNFILMED}" if self._unfilmed else self._words

    def set_words(self, words: str) -> None:
        """What it is, and how sure it is that both show one moment."""
        self._words = words
        self.setToolTip(words)
        self.update()

    def lay(self, source: QSize, share: float) -> None:
        """Say how large the upright picture is, and how much of the picture's width to take."""
        self._source, self._share = source, share
        through = Qt.WidgetAttribute.WA_TransparentForMouseEvents
        self.setAttribute(through, share < WHOLE)
        self._place()

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Keep in the corner when the picture's size changes."""
        if watched is self._over and event.type() == QEvent.Type.Resize:
            self._place()
        return False

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Ask for frames of this size."""
        ratio = self.devicePixelRatioF()
        self.size_wanted.emit(QSize(round(self.width() * ratio), round(self.height() * ratio)))

    def paintEvent(self, event: QPaintEvent) -> None:
        """Paint the frame to the edges, or the words on a dark ground."""
        painter = QPainter(self)
        painter.fillRect(self.rect(), QColor(theme.DARK.floor))
        if self._image is not None:
            painter.setRenderHint(QPainter.RenderHint.SmoothPixmapTransform)
            painter.drawImage(self._fitted(), self._image)
        painter.setPen(QPen(QColor(theme.DARK.line), 1))
        painter.drawRect(self.rect().adjusted(0, 0, -1, -1))
        inner = self.rect().adjusted(WORDS_PX, WORDS_PX, -WORDS_PX, -WORDS_PX)
        metrics = painter.fontMetrics()
        words = metrics.elidedText(self.words, Qt.TextElideMode.ElideRight, inner.width())
        ground = QRect(inner.left(), inner.top(), metrics.horizontalAdvance(words) + WORDS_PX, 0)
        ground.setHeight(metrics.height())
        back = QColor(theme.DARK.floor)
        back.setAlpha(170)
        painter.fillRect(ground, back)
        painter.setPen(QColor(theme.DARK.text))
        painter.drawText(ground, Qt.AlignmentFlag.AlignCenter, words)

    def _fitted(self) -> QRect:
        assert self._image is not None
        size = self._image.size().scaled(self.size(), Qt.AspectRatioMode.KeepAspectRatio)
        left, top = (self.width() - size.width()) // 2, (self.height() - size.height()) // 2
        return QRect(left, top, size.width(), size.height())

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """Keep the click from the picture below."""
        event.accept()

    def wheelEvent(self, event: QWheelEvent) -> None:
        """Keep the wheel from the picture below."""
        event.accept()

    def _place(self) -> None:
        if self._share >= WHOLE:
            self.setGeometry(self._over.rect())
            self.raise_()
            return
        room = QSize(
            max(LEAST_PX, round(self._share * self._over.width())),
            max(LEAST_PX, round(0.9 * self._over.height())),
        )
        size = self._source.scaled(room, Qt.AspectRatioMode.KeepAspectRatio)
        self.setGeometry(
            self._over.width() - size.width() - MARGIN_PX,
            self._over.height() - size.height() - MARGIN_PX,
            size.width(),
            size.height(),
        )
        self.raise_()
