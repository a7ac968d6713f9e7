"""Marks on the second picture: those of its own frame, through the painter of the first's."""

from __future__ import annotations

from PySide6.QtCore import QObject
from PySide6.QtGui import QPainter

from app.review.mark_shapes import shown_marks
from app.review.parts.comparisons import shows_marks
from app.review.parts.marks import Mark
from app.window.features.comparing.comparing import Comparing
from app.window.views.mark_paint import paint_mark
from app.window.views.shown_marks import ShownMarks


class SecondMarks(QObject):
    """Paints what was drawn on the frame the second picture shows.

    Of this review's own recording that is whatever stands on the first picture's frames, also
    while a walkthrough is played; of another review only where the coach asks for it. The pen
    draws on the first picture alone.
    """

    def __init__(self, comparing: Comparing, marks: ShownMarks) -> None:
        super().__init__(comparing)
        self._comparing, self._marks = comparing, marks
        self._second = comparing.stage.second
        self._second.draw_over(self.paint)
        marks.changed.connect(self._second.update)
        comparing.changed.connect(self._second.update)

    @property
    def shown(self) -> tuple[Mark, ...]:
        """The marks of the frame on screen."""
        comparison, right = self._comparing.selected, self._comparing.right
        frame = self._second.frame
        if comparison is None or right is None or right.footage is None or frame is None:
            return ()
        if not shows_marks(comparison, comparison.right):
            return ()
        marks = right.state.marks if comparison.right.source else self._marks.marks
        return shown_marks(marks, frame.index, right.footage.index.at)

    def paint(self, painter: QPainter) -> None:
        """Paint them where their places are seen."""
        marks, right = self.shown, self._comparing.right
        if not marks or right is None:
            return
        own = right.source == ""
        scale = self._marks.metres_per_px if own else right.state.metres_per_px
        for mark in marks:
            paint_mark(painter, mark, scale, self._second.video_transform())
