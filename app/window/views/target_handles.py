"""The five handles of the target curve and the cursor, drawn over the stroke curve."""

from __future__ import annotations

from collections.abc import Mapping

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QPainter, QPaintEvent
from PySide6.QtWidgets import QWidget

from analysis.force.target import Handle, TargetCurve, sample_target
from app.scene.force_curve import cursor_at
from app.scene.shapes import Shape
from app.scene.target_handles import handle_shapes
from app.window.views.scene_paint import bench_palette, colour_of, paint

HANDLE_NAMES: dict[Handle, str] = {
    "start": "Start of the build-up",
    "build_up_end": "End of the build-up",
    "plateau_end": "End of the plateau",
    "decline_end": "End of the decline",
    "level": "Level",
}


def handle_places(target: TargetCurve) -> dict[Handle, tuple[float, float]]:
    """Where each handle stands, in percent and newtons. A freehand target has only its level."""
    if target.freehand:
        force_n = sample_target(target)
        return {"level": (float(force_n.argmax()), float(force_n.max()))}
    middle = 0.5 * (target.build_up_end_pct + target.plateau_end_pct)
    return {
        "start": (target.start_pct, 0.0),
        "build_up_end": (target.build_up_end_pct, target.level_n),
        "plateau_end": (target.plateau_end_pct, target.level_n),
        "decline_end": (target.decline_end_pct, 0.0),
        "level": (middle, target.level_n),
    }


class TargetHandles(QWidget):
    """A see-through sheet over the plot; the plot itself takes the mouse."""

    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent)
        self.setAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents)
        self.area = QRectF()
        self._places: dict[Handle, QPointF] = {}
        self._hover: Handle | None = None
        self._cursor_x: float | None = None
        self._hint = ""
        self._evidence: tuple[Shape, ...] = ()

    @property
    def places(self) -> Mapping[Handle, QPointF]:
        """Widget pixels of each handle."""
        return self._places

    def set_places(self, places: dict[Handle, QPointF]) -> None:
        """Put the handles somewhere else."""
        self._places = places
        self.update()

    def set_hover(self, handle: Handle | None) -> None:
        """Light up the handle under the pointer."""
        if handle != self._hover:
            self._hover = handle
            self.update()

    def set_evidence(self, evidence: tuple[Shape, ...]) -> None:
        """Show what a finding rests on; nothing for none."""
        if evidence != self._evidence:
            self._evidence = evidence
            self.update()

    @property
    def hint(self) -> str:
        """What is said over the plot, "" for nothing."""
        return self._hint

    def set_hint(self, hint: str) -> None:
        """Say what to do, over the plot."""
        self._hint = hint
        self.update()

    def move_cursor(self, x: float | None) -> None:
        """Move the playhead's line over the curve."""
        for place in (self._cursor_x, x):
            if place is not None:
                self.update(int(place) - 3, 0, 7, self.height())
        self._cursor_x = x

    def paintEvent(self, event: QPaintEvent) -> None:
        """Paint cursor, handles and hint."""
        painter = QPainter(self)
        paint(painter, self._evidence, bench_palette())
        if self._cursor_x is not None:
            top, bottom = self.area.top(), self.area.bottom()
            paint(painter, cursor_at(self._cursor_x, top, bottom), bench_palette())
        places = {name: (place.x(), place.y()) for name, place in self._places.items()}
        paint(painter, handle_shapes(places, self._hover), bench_palette())
        if self._hint:
            painter.setPen(colour_of("target", bench_palette()))
            taken = painter.fontMetrics().height() + 4 if self._evidence else 0
            where = self.area.adjusted(8, 6 + taken, -8, 0)
            painter.drawText(where, Qt.AlignmentFlag.AlignHCenter, self._hint)
