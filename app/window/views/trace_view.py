"""The force trace across the full width, with strokes shaded, notes pinned and the playhead."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np
import pyqtgraph as pg
from PySide6.QtCore import QPointF, QRectF, Qt, Signal
from PySide6.QtGui import QBrush, QColor, QMouseEvent, QPainter, QPen, QResizeEvent, QWheelEvent
from PySide6.QtWidgets import QWidget

from analysis.clocks.alignment import Alignment
from app.review.parts.notes import Note
from app.scene.force_curve import PENS, Curve, curve_shapes
from app.window.session.playhead import Span
from app.window.views.film_bars import paint_films
from app.window.views.plot_dress import dress_plot
from app.window.views.plot_shapes import DATA, PlotShapes
from app.window.views.pyramid import Pyramid, on_film
from app.window.views.section_lines import NAME_GAP_PX, are_named, paint_sections
from app.window.views.trace_overlay import PIN_HEIGHT, TraceOverlay
from app.window.widgets import theme
from app.window.widgets.clock_text import clock_text

if TYPE_CHECKING:
    from analysis.force.trace import ForceTrace
    from analysis.measures.rowed_piece import RowedPiece
    from analysis.sections.section import Section
    from analysis.signals.stroke import Stroke

FIRST_VIEW_S = 24.0  # some eight strokes: enough to see rhythm, large enough to see shape
NARROWEST_S = 0.5
SNAP_PX = 14
PIN_PX = 9


class ClockAxis(pg.AxisItem):
    """A time axis in minutes and seconds."""

    def tickStrings(self, values: Sequence[float], scale: float, spacing: float) -> list[str]:
        """Label the ticks."""
        return [clock_text(value, decimals=0 if spacing >= 1 else 2) for value in values]


class TraceView(pg.PlotWidget):
    """Force over video time. A click or a drag moves the playhead; the wheel zooms."""

    seek_wanted = Signal(float)  # video seconds
    catch_picked = Signal(float)  # trace seconds
    note_chosen = Signal(str)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent, axisItems={"bottom": ClockAxis("bottom")}, enableMenu=False)
        self.setAccessibleName("Force trace")
        self.setMinimumHeight(90)
        self._piece: RowedPiece | None = None
        self._pyramid: Pyramid | None = None
        self._alignment = Alignment()
        self._notes: tuple[Note, ...] = ()
        self._sections: tuple[Section, ...] = ()
        self._films: tuple[Span, ...] = ()
        self._force_n = (0.0, 0.0)  # lowest (not above 0) and highest of the trace
        self._range = Span(0.0, 1.0)
        self._time_s = 0.0
        self._picking = False
        self._wants_scale = True
        self._drag_from: float | None = None
        self._outlying: frozenset[int] = frozenset()
        item = self.getPlotItem()
        item.hideButtons()
        item.setMouseEnabled(False, False)
        item.getAxis("left").setWidth(58)
        self._box = item.getViewBox()
        self._box.disableAutoRange()
        self._curve = PlotShapes(smooth=False)
        self.addItem(self._curve)
        theme.follow(self._dress)
        self._overlay = TraceOverlay(self)
        self._box.sigXRangeChanged.connect(self._redraw)
        self._box.sigResized.connect(self._make_room)
        self._box.sigResized.connect(self._redraw)
        self._box.setXRange(0, FIRST_VIEW_S, padding=0)

    def show_axes(self, left: bool, bottom: bool) -> None:
        """Show the scale of the force, and that of time: where there is nothing, neither."""
        self._wants_scale = left
        self.getPlotItem().showAxis("bottom", bottom)
        self._show_scale()

    def _show_scale(self) -> None:
        """Strokes from the picture have no newtons."""
        has_force = self._piece is None or self._pyramid is not None
        self.getPlotItem().showAxis("left", self._wants_scale and has_force)

    def _dress(self) -> None:
        dress_plot(self)

    def set_piece(self, piece: RowedPiece | None, trace: ForceTrace | None = None) -> None:
        """Show another piece, or none.

        Parameters
        ----------
        trace : its force; None where its strokes are from the picture
        """
        self._piece = piece
        self._pyramid = None
        self._outlying = frozenset()
        self._box.setYRange(0, 100, padding=0.02)
        self.getPlotItem().getAxis("left").setStyle(showValues=trace is not None)
        if trace is not None:
            self._pyramid = Pyramid(trace.time_s, trace.force_n)
            self._force_n = (min(0.0, float(np.min(trace.force_n))), float(np.max(trace.force_n)))
            self._make_room()
        self._show_scale()
        self._redraw()

    def _make_room(self, *_resized: object) -> None:
        """Give the force all the height but what is needed over its peaks: the sections' names."""
        if self._pyramid is None:
            return
        low, top = self._force_n
        high_px = self._box.height()
        names_px = self.fontMetrics().height() + 3 * NAME_GAP_PX if are_named(self._sections) else 0
        # On the lowest trace half of it stays the curve's.
        share = min(names_px / high_px, 0.5) if high_px > 1.0 else 0.0
        room = max((top - low) * (1.0 / (1.0 - share) - 1.0), 0.12 * top)
        self._box.setYRange(low, top + room, padding=0)

    def set_sections(
        self, sections: tuple[Section, ...], outlying: frozenset[int] = frozenset()
    ) -> None:
        """Show where the sections of the piece begin, and which strokes are unlike their own."""
        self._sections, self._outlying = sections, outlying
        self._make_room()
        self._redraw()

    def set_films(self, films: tuple[Span, ...]) -> None:
        """Show which stretches the films show, where there are several."""
        self._films = films
        self._redraw()

    def set_alignment(self, alignment: Alignment) -> None:
        """Lay the trace under the footage by another line-up."""
        self._alignment = alignment
        self._redraw()

    def set_range(self, span: Span, start_over: bool = False) -> None:
        """Set the time there is anything to see in."""
        self._range = span
        something = span.end_s > span.start_s
        self.getPlotItem().getAxis("bottom").setStyle(showValues=something)
        self._overlay.setVisible(something)
        if start_over:
            end = min(span.end_s, span.start_s + FIRST_VIEW_S)
            self._box.setXRange(span.start_s, max(end, span.start_s + NARROWEST_S), padding=0.01)

    def set_notes(self, notes: tuple[Note, ...]) -> None:
        """Pin the notes."""
        self._notes = notes
        self._redraw()

    def set_loop(self, loop: Span | None) -> None:
        """Show what is being looped."""
        self._overlay.loop = None if loop is None else (loop.start_s, loop.end_s)
        self._redraw()

    def set_picking(self, picking: bool) -> None:
        """Take the next click as the catch for the line-up instead of a place to go to."""
        self._picking = picking
        self._overlay.hint = "Click the same catch here" if picking else ""
        shape = Qt.CursorShape.CrossCursor if picking else Qt.CursorShape.ArrowCursor
        self.viewport().setCursor(shape)
        self._redraw()

    def follow(self, time_s: float) -> None:
        """Move the playhead's line; turn the page when it leaves the view."""
        self._time_s = time_s
        left, right = self._box.viewRange()[0]
        if not left <= time_s <= right and self._drag_from is None:
            width = right - left
            start = max(self._range.start_s, time_s - 0.1 * width)
            self._box.setXRange(start, start + width, padding=0)
        self._overlay.move_playhead(self.x_of(time_s))

    def show_wanted(self, time_s: float) -> None:
        """Show faintly where the playhead is going while its picture is on the way."""
        self._overlay.move_wanted(self.x_of(time_s))

    def x_of(self, time_s: float) -> float:
        """Widget pixels of a video time."""
        return float(self._box.mapViewToScene(QPointF(time_s, 0.0)).x())

    def time_at(self, x: float) -> float:
        """Video time at a widget pixel."""
        return float(self._box.mapSceneToView(QPointF(x, 0.0)).x())

    def zoom(self, factor: float, about_s: float | None = None) -> None:
        """Show more (factor > 1) or less time, holding a moment in place."""
        left, right = self._box.viewRange()[0]
        about = self._time_s if about_s is None else about_s
        whole = max(self._range.end_s - self._range.start_s, NARROWEST_S)
        width = min(max((right - left) * factor, NARROWEST_S), 1.05 * whole)
        start = about - (about - left) * width / (right - left)
        self._box.setXRange(start, start + width, padding=0)

    def zoom_all(self) -> None:
        """Show the whole piece."""
        self._box.setXRange(self._range.start_s, self._range.end_s, padding=0.02)

    def drawBackground(self, painter: QPainter, rect: QRectF) -> None:
        """Shade the drives under the curve."""
        super().drawBackground(painter, rect)
        area = self._box.sceneBoundingRect()
        painter.save()
        painter.setClipRect(area)
        if self._piece is not None:
            self._paint_strokes(painter, area)
        paint_films(painter, self._films, self.x_of, area)
        painter.restore()

    def _paint_strokes(self, painter: QPainter, area: QRectF) -> None:
        for stroke in self._visible_strokes():
            left = self.x_of(self._alignment.video_time(stroke.catch_s))
            right = self.x_of(self._alignment.video_time(stroke.finish_s))
            drive = QRectF(left, area.top(), right - left, area.height())
            odd = bool(stroke.remark) or stroke.index in self._outlying
            painter.fillRect(drive, QColor(theme.RAISED if not odd else theme.PANEL))
            if odd:
                hatch = QBrush(QColor(theme.LINE), Qt.BrushStyle.BDiagPattern)
                painter.fillRect(drive, hatch)
            painter.setPen(QPen(QColor(theme.LINE), 1))
            painter.drawLine(QPointF(left, area.top()), QPointF(left, area.bottom()))
            painter.setPen(QPen(QColor(theme.LINE), 1, Qt.PenStyle.DotLine))
            painter.drawLine(QPointF(right, area.top()), QPointF(right, area.bottom()))
        paint_sections(
            painter, self._sections, lambda s: self.x_of(self._alignment.video_time(s)), area
        )

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Keep the overlay over the whole widget."""
        super().resizeEvent(event)
        # pyqtgraph resizes itself once while it is being built.
        if hasattr(self, "_overlay"):
            self._overlay.setGeometry(self.rect())
            self._redraw()

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """Choose a note, pick a catch, or move the playhead."""
        x, y = event.position().x(), event.position().y()
        if event.button() != Qt.MouseButton.LeftButton:
            self._drag_from = x
        elif self._picking and self._piece is not None:
            self.catch_picked.emit(self._catch_near(x))
        elif (note := self._note_near(x, y)) is not None:
            self.note_chosen.emit(note.id)
        else:
            self._drag_from = x
            self.seek_wanted.emit(self.time_at(x))
        event.accept()

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        """Scrub with the left button, pan with the others."""
        if self._drag_from is None:
            return
        x = event.position().x()
        if event.buttons() & Qt.MouseButton.LeftButton:
            self.seek_wanted.emit(self.time_at(x))
        elif event.buttons():
            moved = self.time_at(self._drag_from) - self.time_at(x)
            left, right = self._box.viewRange()[0]
            self._box.setXRange(left + moved, right + moved, padding=0)
            self._drag_from = x
        event.accept()

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        """End a drag."""
        self._drag_from = None
        event.accept()

    def wheelEvent(self, event: QWheelEvent) -> None:
        """Zoom about the pointer; sideways or with Shift, pan."""
        delta = event.angleDelta()
        left, right = self._box.viewRange()[0]
        sideways = delta.x() or (
            delta.y() if event.modifiers() & Qt.KeyboardModifier.ShiftModifier else 0
        )
        if sideways:
            moved = -sideways / 120 * 0.1 * (right - left)
            self._box.setXRange(left + moved, right + moved, padding=0)
        else:
            self.zoom(0.8 ** (delta.y() / 120), self.time_at(event.position().x()))
        event.accept()

    def _visible_strokes(self) -> list[Stroke]:
        if self._piece is None:
            return []
        a = self._alignment
        left, right = (a.trace_time(t) for t in self._box.viewRange()[0])
        near = (s for s in self._piece.strokes if s.finish_s >= left and s.catch_s <= right)
        return [s for s in near if a.shown(s.catch_s) is not None]

    def _catch_near(self, x: float) -> float:
        """The catch under the pointer, or the trace time itself when none is near."""
        trace_s = self._alignment.trace_time(self.time_at(x))
        if self._piece is None or not self._piece.strokes:
            return trace_s
        nearest = min(self._piece.strokes, key=lambda s: abs(s.catch_s - trace_s))
        width = self._box.viewRange()[0]
        per_px = (width[1] - width[0]) / max(self._box.width(), 1.0)
        reach = max(SNAP_PX * per_px, 0.25)
        return nearest.catch_s if abs(nearest.catch_s - trace_s) <= reach else trace_s

    def _note_near(self, x: float, y: float) -> Note | None:
        if y > self._box.sceneBoundingRect().top() + PIN_HEIGHT + 4:
            return None
        near = [n for n in self._notes if abs(self.x_of(n.video_s) - x) <= PIN_PX]
        return min(near, key=lambda n: abs(self.x_of(n.video_s) - x), default=None)

    def _redraw(self) -> None:
        """Thin the curve for the new view and put everything else at its new place."""
        area = self._box.sceneBoundingRect()
        if self._pyramid is not None:
            left, right = self._box.viewRange()[0]
            runs = on_film(
                self._pyramid.view, self._alignment, left, right, max(int(area.width()), 1)
            )
            curves = [Curve("own", at_s, y, pen=PENS["trace"]) for at_s, y in runs]
            self._curve.set_shapes(curve_shapes(curves, DATA))
        else:
            self._curve.set_shapes(())
        self._overlay.area = area
        self._overlay.pins = tuple(
            (self.x_of(n.video_s), None if n.end_s is None else self.x_of(n.end_s))
            for n in self._notes
        )
        self._overlay.time_to_x = self.x_of
        self._overlay.move_playhead(self.x_of(self._time_s))
        self._overlay.update()
        # The shaded drives are kept as a picture of their own until something about them changes.
        self.resetCachedContent()
        self.viewport().update()
