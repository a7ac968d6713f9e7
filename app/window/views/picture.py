"""The footage: the largest thing on the bench."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from PySide6.QtCore import QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import (
    QColor,
    QImage,
    QMouseEvent,
    QPainter,
    QPainterPath,
    QPaintEvent,
    QPen,
    QResizeEvent,
    QTransform,
    QWheelEvent,
)
from PySide6.QtWidgets import QSizePolicy, QWidget

from app.review.parts.picture import PictureTurn
from app.window.views.zoom import FIT, Zoom
from app.window.widgets import theme

if TYPE_CHECKING:
    from app.media.server import ShownFrame

NOTCH = 120  # what one click of a mouse wheel reports
ZOOM_STEP = 1.25
LENS_RADIUS = 110  # widget pixels
LENS_FACTOR = 3.0


class PictureView(QWidget):
    """Paints the frame it was given, turned, mirrored, lifted and zoomed as asked."""

    stepped = Signal(int)  # frames, from the wheel
    lens_changed = Signal()
    size_wanted = Signal(QSize)  # device pixels to decode for
    frame_shown = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAttribute(Qt.WidgetAttribute.WA_OpaquePaintEvent)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self.setMinimumSize(200, 60)
        self.setAccessibleName("Footage")
        self._frame: ShownFrame | None = None
        self._image: QImage | None = None
        self._turn = PictureTurn()
        self._words = ""
        self._legend = ""
        self._wheel = 0
        self._zoom = FIT
        self._drag_from: QPointF | None = None
        self._lens_at: QPointF | None = None
        self._lens = False
        self._source: QSize | None = None

    @property
    def frame(self) -> ShownFrame | None:
        """The frame on screen."""
        return self._frame

    @property
    def zoom(self) -> Zoom:
        """How the picture is zoomed."""
        return self._zoom

    def show_frame(self, frame: ShownFrame | None) -> None:
        """Show a frame, or nothing where there is no footage."""
        if frame is None and self._frame is None:
            return
        self._frame = frame
        self._renew()
        self.frame_shown.emit()

    def set_turn(self, turn: PictureTurn) -> None:
        """Turn, mirror or lift the picture."""
        if turn != self._turn:
            self._turn = turn
            self._renew()
            self._want_size()

    @property
    def words(self) -> str:
        """What stands where there is no picture."""
        return self._words

    def set_words(self, words: str) -> None:
        """What to say where there is no picture."""
        self._words = words
        self.update()

    def set_legend(self, legend: str) -> None:
        """What stands in the corner of the picture: time, frame number, time since a moment."""
        if legend != self._legend:
            self._legend = legend
            self.update()

    @property
    def has_lens(self) -> bool:
        """Whether the magnifying glass is out."""
        return self._lens

    def toggle_lens(self) -> None:
        """Show a magnifying glass under the pointer, or hide it."""
        self._lens = not self._lens
        self.lens_changed.emit()
        self.setMouseTracking(self._lens)
        self._lens_at = QPointF(self.rect().center()) if self._lens else None
        self._want_size()
        self.update()

    def carry_lens(self, at: QPointF) -> None:
        """Hold the magnifying glass over a place of the widget, where it is out."""
        if self._lens:
            self._lens_at = at
            self.update()

    def lens(self) -> tuple[QPainterPath, QTransform] | None:
        """The magnifying glass, and from places beneath it to where it shows them; None: away."""
        at = self._lens_at
        if not self._lens or at is None or self._image is None:
            return None
        circle = QPainterPath()
        circle.addEllipse(at, LENS_RADIUS, LENS_RADIUS)
        grown = QTransform()
        grown.translate(at.x(), at.y())
        grown.scale(LENS_FACTOR, LENS_FACTOR)
        grown.translate(-at.x(), -at.y())
        return circle, grown

    def zoom_by(self, factor: float, at: QPointF | None = None) -> None:
        """Zoom about a place of the widget; about the middle when none is named."""
        place = self._unit_place(at or QPointF(self.rect().center()))
        self._set_zoom(self._zoom.about(place, factor))

    def zoom_to_fit(self) -> None:
        """Show the whole picture."""
        self._set_zoom(FIT)

    def show_zoom(self, zoom: Zoom) -> None:
        """Show the picture zoomed like this."""
        self._set_zoom(zoom)

    def picture_rect(self) -> QRectF:
        """Where the picture stands, in widget pixels; reaches beyond the widget when zoomed."""
        fit = self._fit()
        return self._zoom.rect_in(QRectF(self.rect()), fit)

    @property
    def shows_footage(self) -> bool:
        """Whether there is a picture whose source pixels are known."""
        return self._image is not None and self._source is not None

    @property
    def turn(self) -> PictureTurn:
        """How the picture is turned, mirrored and lifted."""
        return self._turn

    def set_source_size(self, size: QSize | None) -> None:
        """Say how large the upright picture is in the recording; frames may come smaller."""
        self._source = size

    @property
    def source_size(self) -> QSize | None:
        """How large the upright picture is in the recording."""
        return self._source

    def video_transform(self) -> QTransform:
        """From video pixels of the upright source picture to widget pixels."""
        image, source = self._image, self._source
        if image is None or source is None:
            return QTransform()
        shrunk = QTransform.fromScale(
            image.width() / source.width(), image.height() / source.height()
        )
        return shrunk * self._transform()

    def to_video(self, at: QPointF) -> tuple[float, float]:
        """Video pixels under a place of the widget, however the picture is shown."""
        back, _invertible = self.video_transform().inverted()
        place = back.map(at)
        return place.x(), place.y()

    def step_in_video(self, dx: int, dy: int) -> tuple[float, float]:
        """One video pixel to the side, as seen: left on screen is left, however it is turned."""
        here = self.rect().center().toPointF()
        (x0, y0), (x1, y1) = self.to_video(here), self.to_video(here + QPointF(dx, dy))
        length = math.hypot(x1 - x0, y1 - y0) or 1.0
        return (x1 - x0) / length, (y1 - y0) / length

    def paintEvent(self, event: QPaintEvent) -> None:
        """Paint the frame at its place, or the words."""
        painter = QPainter(self)
        painter.fillRect(self.rect(), QColor(theme.DARK.floor))
        if self._image is None:
            painter.setPen(QColor(theme.DARK.quiet))
            painter.drawText(
                self.rect(), Qt.AlignmentFlag.AlignCenter | Qt.TextFlag.TextWordWrap, self._words
            )
            return
        painter.setRenderHint(QPainter.RenderHint.SmoothPixmapTransform)
        painter.setTransform(self._transform())
        painter.drawImage(QPointF(0, 0), self._image)
        painter.resetTransform()
        lens = self.lens()
        if lens is not None:
            self._paint_lens(painter, self._image, *lens)
        if self._frame is not None and self._frame.damaged:
            _plate(painter, QPointF(10, self.height() - 12), "▲ damaged frame", theme.DARK.playhead)
        if self._legend:
            _plate(painter, QPointF(10, 28), self._legend, theme.DARK.text)

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Ask for frames of the new size."""
        self._want_size()

    def wheelEvent(self, event: QWheelEvent) -> None:
        """One notch of the wheel is one frame; with Ctrl it zooms about the pointer."""
        event.accept()
        if event.modifiers() & Qt.KeyboardModifier.ControlModifier:
            self.zoom_by(ZOOM_STEP ** (event.angleDelta().y() / NOTCH), event.position())
            return
        self._wheel += event.angleDelta().y()
        notches = int(self._wheel / NOTCH)  # towards zero: a half turn back is no step yet
        self._wheel -= notches * NOTCH
        if notches:
            self.stepped.emit(-notches)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """Take hold of a zoomed picture."""
        if event.button() in (Qt.MouseButton.LeftButton, Qt.MouseButton.MiddleButton):
            self._drag_from = event.position()

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        """Drag a zoomed picture; carry the lens."""
        self.carry_lens(event.position())
        if self._drag_from is not None and event.buttons() and self._zoom != FIT:
            moved = event.position() - self._drag_from
            self._drag_from = event.position()
            rect = self.picture_rect()
            self._set_zoom(self._zoom.moved(-moved.x() / rect.width(), -moved.y() / rect.height()))

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        """Let go."""
        self._drag_from = None

    def mouseDoubleClickEvent(self, event: QMouseEvent) -> None:
        """Show the whole picture again."""
        self.zoom_to_fit()

    def _renew(self) -> None:
        """Make the image to paint of the frame."""
        frame = self._frame
        if frame is None:
            self._image = None
        else:
            from app.media.light import lifted

            self._pixels = lifted(frame.image_bgra, self._turn.lift)
            height, width = self._pixels.shape[:2]
            # The image borrows the array's memory; `_pixels` keeps it alive.
            self._image = QImage(
                self._pixels.data, width, height, 4 * width, QImage.Format.Format_RGB32
            )
        self.update()

    def _fit(self) -> QSize:
        """Size at which the whole picture fills the widget."""
        if self._image is None:
            return self.size()
        size = self._image.size()
        if self._turn.quarter_turns % 2:
            size = size.transposed()
        return size.scaled(self.size(), Qt.AspectRatioMode.KeepAspectRatio)

    def _unit_place(self, at: QPointF) -> QPointF:
        rect = self.picture_rect()
        return QPointF(
            (at.x() - rect.left()) / max(rect.width(), 1.0),
            (at.y() - rect.top()) / max(rect.height(), 1.0),
        )

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

    def _paint_lens(
        self, painter: QPainter, image: QImage, circle: QPainterPath, grown: QTransform
    ) -> None:
        painter.save()
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setClipPath(circle)
        painter.setTransform(self._transform() * grown)
        painter.drawImage(QPointF(0, 0), image)
        painter.restore()
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setPen(QPen(QColor(theme.DARK.text), 2))
        painter.drawPath(circle)

    def _set_zoom(self, zoom: Zoom) -> None:
        if zoom != self._zoom:
            self._zoom = zoom
            self._want_size()
            self.update()

    def _want_size(self) -> None:
        """Decode as many pixels as are seen; the lens looks closer still."""
        closer = self._zoom.factor * (LENS_FACTOR if self._lens else 1.0)
        size = self.size() * (self.devicePixelRatioF() * closer)
        self.size_wanted.emit(size.transposed() if self._turn.quarter_turns % 2 else size)


def _plate(painter: QPainter, at: QPointF, text: str, colour: str) -> None:
    """Words that read on any picture: on a plate of their own."""
    size = painter.fontMetrics().size(0, text)
    plate = QRectF(at.x(), at.y() - size.height(), size.width() + 14, size.height() + 6)
    ground = QColor(theme.DARK.floor)
    ground.setAlpha(215)
    painter.fillRect(plate, ground)
    painter.setPen(QColor(colour))
    painter.drawText(plate, Qt.AlignmentFlag.AlignCenter, text)
