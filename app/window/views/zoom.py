"""How far a picture is zoomed, and about what."""

from __future__ import annotations

from dataclasses import dataclass

from PySide6.QtCore import QPointF, QRectF, QSize

CLOSEST = 12.0


@dataclass(frozen=True)
class Zoom:
    """A zoom of a picture that otherwise fills its room.

    Attributes
    ----------
    factor : 1 shows the whole picture
    x, y : the place of the picture that stands in the middle of the room, 0-1
    """

    factor: float = 1.0
    x: float = 0.5
    y: float = 0.5

    def about(self, place: QPointF, factor: float) -> Zoom:
        """Zoom so that a place of the picture (0-1) stays where it is on screen."""
        new = min(max(self.factor * factor, 1.0), CLOSEST)
        share = self.factor / new
        return Zoom(
            new, place.x() + (self.x - place.x()) * share, place.y() + (self.y - place.y()) * share
        )._within()

    def moved(self, x: float, y: float) -> Zoom:
        """Look at another place, by shares of the picture."""
        return Zoom(self.factor, self.x + x, self.y + y)._within()

    def rect_in(self, room: QRectF, fit: QSize) -> QRectF:
        """Where the picture stands, given the size at which it fits."""
        width, height = fit.width() * self.factor, fit.height() * self.factor
        return QRectF(
            room.center().x() - self.x * width, room.center().y() - self.y * height, width, height
        )

    def _within(self) -> Zoom:
        """Keep the picture's edges at or beyond the room's."""
        half = 0.5 / self.factor
        return Zoom(
            self.factor, min(max(self.x, half), 1.0 - half), min(max(self.y, half), 1.0 - half)
        )


FIT = Zoom()
