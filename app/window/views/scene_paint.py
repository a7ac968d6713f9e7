"""The painter of widgets: the shapes of a scene with Qt."""

from __future__ import annotations

from collections.abc import Iterable
from html import escape

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QFont, QFontMetricsF, QPainter, QPainterPath, QPen, QPolygonF

from app.scene.colours import DARK, LIGHT
from app.scene.plot import Entry, Plot, Scale
from app.scene.shapes import (
    Area,
    Circle,
    Group,
    Line,
    Measure,
    Palette,
    Picture,
    Point,
    Rect,
    Shape,
    Text,
)
from app.window.widgets import theme


def bench_palette() -> Palette:
    """The inks of what is drawn on the bench itself, in what it wears."""
    inks = {
        "ground": theme.FLOOR,
        "evidence": theme.PICK,
        "cursor": theme.PLAYHEAD,
        "right cursor": theme.SECOND,
        "own": theme.FORCE,
        "mean": theme.MEAN,
        "target": theme.TARGET_BRIGHT,
        "left": theme.FORCE,
        "right": theme.SECOND,
        "read": theme.SECOND,
        "read band": theme.SECOND,
        "accent": theme.PLAYHEAD,
        **{f"signal {i}": colour for i, colour in enumerate(signal_colours())},
    }
    return {**(DARK if theme.worn() is theme.DARK else LIGHT), **inks}


def signal_colours() -> tuple[str, ...]:
    """The lines of further signals, from the first on; dashes tell them apart as well."""
    return (theme.SECOND, theme.TARGET_BRIGHT, theme.NOTE, theme.ORANGE, theme.PLAYHEAD)


def measure_in(font: QFont) -> Measure:
    """How wide this painter makes words in a font."""

    def measure(text: str, size: float, bold: bool) -> float:
        return QFontMetricsF(_sized(font, size, bold)).horizontalAdvance(text)

    return measure


def plot_of(area: QRectF, x: tuple[Point, Point], y: tuple[Point, Point]) -> Plot:
    """The plot of a widget: its area, and two (value, place) of either scale."""
    return Plot(area.left(), area.top(), area.right(), area.bottom(), Scale(x), Scale(y))


def paint(painter: QPainter, shapes: Iterable[Shape], palette: Palette) -> None:
    """Paint shapes, in widget pixels."""
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    # Words run as they themselves do.
    painter.setLayoutDirection(Qt.LayoutDirection.LayoutDirectionAuto)
    for shape in shapes:
        _paint(painter, shape, palette)
    painter.restore()


def _paint(painter: QPainter, shape: Shape, palette: Palette) -> None:
    match shape:
        case Line():
            painter.setPen(pen_of(shape, palette))
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.drawPath(_path(shape.points))
        case Area():
            painter.setPen(Qt.PenStyle.NoPen)
            painter.setBrush(colour_of(shape.ink, palette, shape.opacity))
            painter.drawPolygon(QPolygonF([QPointF(*p) for p in shape.points]))
        case Rect():
            edge = QPen(colour_of(shape.edge, palette), shape.edge_width)
            painter.setPen(edge if shape.edge_width > 0.0 else Qt.PenStyle.NoPen)
            painter.setBrush(colour_of(shape.ink, palette, shape.opacity))
            box = QRectF(shape.x, shape.y, shape.width, shape.height)
            painter.drawRoundedRect(box, shape.radius, shape.radius)
        case Circle():
            rim = QPen(colour_of(shape.rim, palette), shape.rim_width)
            painter.setPen(rim if shape.rim_width > 0.0 else Qt.PenStyle.NoPen)
            painter.setBrush(colour_of(shape.ink, palette))
            painter.drawEllipse(QPointF(shape.x, shape.y), shape.radius, shape.radius)
        case Text():
            _write(painter, shape, palette)
        case Group():
            for part in shape.shapes:
                _paint(painter, part, palette)
        case Picture():
            raise TypeError("frames are shown by the picture's own widget")


def _write(painter: QPainter, text: Text, palette: Palette) -> None:
    font = _sized(painter.font(), text.size, text.bold)
    wide = QFontMetricsF(font).horizontalAdvance(text.text)
    left = text.x - {"start": 0.0, "middle": 0.5, "end": 1.0}[text.anchor] * wide
    if text.halo_width > 0.0:
        path = QPainterPath()
        path.addText(QPointF(left, text.y), font, text.text)
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.setPen(QPen(colour_of(text.halo, palette), text.halo_width))
        painter.drawPath(path)
    before = painter.font()
    painter.setFont(font)
    painter.setPen(colour_of(text.ink, palette))
    painter.drawText(QPointF(left, text.y), text.text)
    painter.setFont(before)


def entry_words(entry: Entry) -> str:
    """A line of a key as rich text: a sample of it, and its words."""
    sign = "▒" if entry.filled else "╌" if entry.pen.dash else "━"
    colour = bench_palette()["mean" if entry.filled else entry.ink]
    return f'<span style="color:{colour}">{sign}</span>&nbsp;{escape(entry.words)}'


def pen_of(line: Line, palette: Palette) -> QPen:
    """The pen a line is painted with."""
    pen = QPen(
        colour_of(line.ink, palette, line.opacity), line.width, Qt.PenStyle.SolidLine,
        Qt.PenCapStyle.RoundCap, Qt.PenJoinStyle.RoundJoin,
    )  # fmt: skip
    if line.dash:
        pen.setCapStyle(Qt.PenCapStyle.FlatCap)
        pen.setDashPattern([length / line.width for length in line.dash])
    return pen


def _path(points: tuple[Point, ...]) -> QPainterPath:
    path = QPainterPath()
    path.moveTo(QPointF(*points[0]))
    for point in points[1:]:
        path.lineTo(QPointF(*point))
    return path


def colour_of(ink: str, palette: Palette, opacity: float = 1.0) -> QColor:
    """The colour of a role, or of #RRGGBB."""
    colour = QColor(palette.get(ink, ink))
    colour.setAlphaF(opacity)
    return colour


def _sized(font: QFont, size: float, bold: bool) -> QFont:
    font = QFont(font)
    font.setPixelSize(max(1, round(size)))
    font.setBold(bold)
    return font
