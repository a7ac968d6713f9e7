"""A row of the library's list: picture, words and curve of one stroke."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import (
    QModelIndex,
    QPersistentModelIndex,
    QPoint,
    QPointF,
    QRect,
    QRectF,
    QSize,
    Qt,
)
from PySide6.QtGui import QColor, QFont, QPainter, QPen, QPolygonF
from PySide6.QtWidgets import (
    QListWidgetItem,
    QStyle,
    QStyledItemDelegate,
    QStyleOptionViewItem,
)

from app.review.references import KeptReference
from app.window.features.comparing.reference_looks import Look
from app.window.widgets import theme

ROW = Qt.ItemDataRole.UserRole + 1
ROW_PX = 86
PICTURE = QSize(128, 72)
CURVE = QSize(104, 60)
PAD_PX = 7
DIM = 0.5  # of what was removed
AnyIndex = QModelIndex | QPersistentModelIndex


@dataclass(frozen=True, eq=False)
class Row:
    """One stroke as the list shows it.

    Attributes
    ----------
    sign : a word on what sets it apart, such as "removed"; "" for none
    look : None while it was not looked at
    """

    kept: KeptReference
    sign: str = ""
    dim: bool = False
    look: Look | None = None

    @property
    def facts(self) -> str:
        """View, rate and level."""
        r = self.kept.reference
        return "  ·  ".join(
            filter(None, (f"from the {r.view}", f"{r.rate_spm:.1f} / min", r.level))
        )


def row_item(row: Row) -> QListWidgetItem:
    """A list item that carries a row; a screen reader is told all of its words."""
    item = QListWidgetItem()
    put_row(item, row)
    return item


def put_row(item: QListWidgetItem, row: Row) -> None:
    """Let an item show this row."""
    r = row.kept.reference
    item.setData(ROW, row)
    item.setSizeHint(QSize(0, ROW_PX))
    item.setToolTip(r.notes[:1000])
    spoken = ", ".join(filter(None, (r.name, row.sign, row.facts, r.notes)))
    item.setData(Qt.ItemDataRole.AccessibleTextRole, spoken)


class RowPainter(QStyledItemDelegate):
    """Paints rows; an item without one is a heading and painted as any list does it."""

    def sizeHint(self, option: QStyleOptionViewItem, index: AnyIndex) -> QSize:
        """As high as the picture needs; as wide as the list is."""
        if index.data(ROW) is None:
            return super().sizeHint(option, index)
        return QSize(0, ROW_PX)

    def paint(self, painter: QPainter, option: QStyleOptionViewItem, index: AnyIndex) -> None:
        """Paint the ground a list gives its items, then the stroke."""
        row: Row | None = index.data(ROW)
        if row is None:
            super().paint(painter, option, index)
            return
        painter.save()
        area: QRect = option.rect
        selected = bool(option.state & QStyle.StateFlag.State_Selected)
        if selected:
            painter.fillRect(area, option.palette.highlight())
        room = area.adjusted(PAD_PX, PAD_PX, -PAD_PX, -PAD_PX)
        picture = QRect(room.topLeft(), PICTURE)
        curve = QRect(QPoint(room.right() - CURVE.width() + 1, 0), CURVE)
        curve.moveTop(room.top() + (room.height() - CURVE.height()) // 2)
        painter.setOpacity(DIM if row.dim else 1.0)
        paint_picture(painter, picture, row.look)
        _paint_curve(painter, curve, row.look, selected)
        painter.setOpacity(1.0)  # words stay readable
        if row.sign:
            _paint_sign(painter, picture, row.sign)
        words = QRect(room)
        words.setLeft(picture.right() + 10)
        words.setRight(curve.left() - 8)
        _paint_words(painter, words, row, option.font, selected)
        painter.restore()


def paint_picture(painter: QPainter, room: QRect, look: Look | None) -> None:
    """Paint the picture of a look into the middle of a room, or say that there is none."""
    painter.fillRect(room, QColor(theme.FLOOR))
    image = look.image() if look is not None else None
    if image is None:
        painter.setPen(QColor(theme.QUIET))
        words = "…" if look is None else "no picture"
        painter.drawText(room, Qt.AlignmentFlag.AlignCenter, words)
        return
    scale = min(room.width() / image.width(), room.height() / image.height())
    place = QRectF(0, 0, image.width() * scale, image.height() * scale)
    place.moveCenter(QRectF(room).center())
    painter.setRenderHint(QPainter.RenderHint.SmoothPixmapTransform)
    painter.drawImage(place, image)


def _paint_sign(painter: QPainter, picture: QRect, sign: str) -> None:
    painter.setFont(_smaller(painter.font()))
    wide = painter.fontMetrics().horizontalAdvance(sign) + 12
    high = painter.fontMetrics().height() + 2
    plate = QRect(picture.left(), picture.bottom() - high + 1, min(wide, picture.width()), high)
    painter.fillRect(plate, QColor(theme.DARK.floor))
    painter.setPen(QColor(theme.DARK.note))
    painter.drawText(plate, Qt.AlignmentFlag.AlignCenter, sign)


def _smaller(font: QFont) -> QFont:
    small = QFont(font)
    small.setPointSizeF(0.82 * small.pointSizeF())
    return small


def _paint_curve(painter: QPainter, room: QRect, look: Look | None, selected: bool) -> None:
    quiet = QColor(theme.CHOSEN_TEXT if selected else theme.QUIET)
    if look is None or look.curve_n is None:
        painter.setPen(quiet)
        painter.drawText(room, Qt.AlignmentFlag.AlignCenter, "" if look is None else "no force")
        return
    base = QRectF(room).adjusted(0, 2, 0, -16)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setPen(QPen(quiet, 1))
    painter.drawLine(base.bottomLeft(), base.bottomRight())
    painter.setPen(QPen(QColor(theme.CHOSEN_TEXT if selected else theme.FORCE), 2))
    painter.drawPolyline(_polygon(look.curve_n, base))
    painter.setPen(quiet)
    painter.setFont(_smaller(painter.font()))
    words = f"peak {float(look.curve_n.max()):.0f} N"
    painter.drawText(room, Qt.AlignmentFlag.AlignBottom | Qt.AlignmentFlag.AlignHCenter, words)


def _polygon(curve_n: NDArray[np.float64], room: QRectF) -> QPolygonF:
    top = max(float(curve_n.max()), 1.0)
    across = np.linspace(room.left(), room.right(), len(curve_n))
    up = room.bottom() - curve_n / top * room.height()
    return QPolygonF([QPointF(float(x), float(y)) for x, y in zip(across, up, strict=True)])


def _paint_words(painter: QPainter, room: QRect, row: Row, font: QFont, selected: bool) -> None:
    reference = row.kept.reference
    bold = QFont(font)
    bold.setBold(True)
    painter.setFont(bold)
    line = painter.fontMetrics().height() + 2
    right = Qt.TextElideMode.ElideRight
    name = painter.fontMetrics().elidedText(reference.name, right, room.width())
    painter.setPen(QColor(theme.CHOSEN_TEXT if selected else theme.TEXT))
    top = QRect(room.left(), room.top(), room.width(), line)
    painter.drawText(top, Qt.AlignmentFlag.AlignVCenter, name)
    painter.setFont(font)
    facts = top.translated(0, line)
    metrics = painter.fontMetrics()
    elided = metrics.elidedText(row.facts, right, room.width())
    painter.drawText(facts, Qt.AlignmentFlag.AlignVCenter, elided)
    painter.setPen(QColor(theme.CHOSEN_TEXT if selected else theme.QUIET))
    notes = QRect(facts.left(), facts.bottom() + 1, room.width(), room.bottom() - facts.bottom())
    painter.drawText(
        notes, Qt.TextFlag.TextWordWrap, _fitting(" ".join(reference.notes.split()), notes, painter)
    )


def _fitting(words: str, room: QRect, painter: QPainter) -> str:
    """As much as the room holds, with an ellipsis where that is not all."""
    metrics = painter.fontMetrics()
    lines = max(1, room.height() // metrics.lineSpacing())
    space = lines * room.width() - (lines - 1) * 30  # a line breaks at a word
    return metrics.elidedText(words, Qt.TextElideMode.ElideRight, space)
